import { throwIfCancelled } from '../errors'
import { LatticeMapping } from '../geodesy/lattice'
import { GridLocator, type GridFrame } from './grid'
import { spread, toXY } from './lattice'
import type { Sheet, SheetOptions } from './sheet'
import type { CellWindow } from './tiffRaster'

/** Cells of the grid worked on at a time. */
const CELLS_PER_BAND = 8_000_000
/** Cells over which one sheet goes over into the next. */
const BLEND_CELLS = 8
/** Farther off than this share of a cell a sheet does not lie on a grid. */
const SLACK_CELLS = 0.02

/** One sheet as seen from a grid. */
interface Layer {
  /** The part of the grid it may cover. */
  readonly part: CellWindow
  /** Fills a part of a row-by-row raster that covers rows `top` to `top + rows` of the grid. */
  readonly fill: (
    heights: Float32Array,
    top: number,
    rows: number,
    onProgress: (share: number) => void,
  ) => Promise<void>
}

/**
 * Reads sheets onto a grid, the finest first: cell for cell where a sheet lies on it, bilinear
 * otherwise, after taking means where the grid is coarser than the sheet. Where a finer sheet ends
 * it goes over into the next within a few cells; holes stay holes (NaN).
 * @param heights filled, row by row from the north
 */
export async function readOnto(
  frame: GridFrame,
  sheets: readonly Sheet[],
  heights: Float32Array,
  { signal, onProgress, isRough }: SheetOptions = {},
): Promise<void> {
  const layers = sheets.flatMap((sheet) => {
    const layer = layerOf(frame, sheet, { signal, isRough })
    return layer ? [layer] : []
  })
  const margin = layers.length > 1 ? BLEND_CELLS + 1 : 0
  const bandRows = Math.max(64, Math.floor(CELLS_PER_BAND / frame.cols))
  for (let top = 0; top < frame.rows; top += bandRows) {
    throwIfCancelled(signal)
    const rows = Math.min(bandRows, frame.rows - top)
    const report = (share: number) => onProgress?.((top + share * rows) / frame.rows)
    if (layers.length === 1) {
      const band = heights.subarray(top * frame.cols, (top + rows) * frame.cols)
      await layers[0].fill(band, top, rows, report)
    } else {
      const first = Math.max(0, top - margin)
      const last = Math.min(frame.rows, top + rows + margin)
      const band = await blended(frame.cols, layers, first, last - first, report)
      const from = (top - first) * frame.cols
      heights.set(band.subarray(from, from + rows * frame.cols), top * frame.cols)
    }
    onProgress?.((top + rows) / frame.rows)
  }
}

/** A sheet as a layer of a grid; null where it lies beside it. */
function layerOf(frame: GridFrame, sheet: Sheet, options: SheetOptions): Layer | null {
  const part = partUnder(frame, sheet)
  if (!part) return null
  const onGrid = placeOnGrid(frame, sheet)
  return {
    part,
    fill: onGrid
      ? (heights, top, rows, onProgress) =>
          copyRows(frame, sheet, onGrid, heights, top, rows, { ...options, onProgress })
      : resampler(frame, sheet, part, options),
  }
}

/** The part of a grid under a sheet, a little generous. */
function partUnder(frame: GridFrame, { lattice, locator }: Sheet): CellWindow | null {
  const grid = new GridLocator(frame)
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const [col, row] of spread(lattice, 32)) {
    const place = grid.toGrid(locator.toLatLon(col, row))
    left = Math.min(left, place.col)
    right = Math.max(right, place.col)
    top = Math.min(top, place.row)
    bottom = Math.max(bottom, place.row)
  }
  // Between the points looked at an edge may bend outward by a thousandth of its length.
  const bend = 2 + Math.max(right - left, bottom - top) / 1000
  const [col, row] = [Math.floor(left - bend), Math.floor(top - bend)].map((at) => Math.max(0, at))
  const cols = Math.min(frame.cols, Math.ceil(right + bend)) - col
  const rows = Math.min(frame.rows, Math.ceil(bottom + bend)) - row
  return cols > 0 && rows > 0 ? { col, row, cols, rows } : null
}

/** How a grid lies on a sheet it shares its cells with. */
interface OnGrid {
  readonly factor: number
  /** Cell of the sheet (in cells `factor` times as wide) under the grid's first, and the way on. */
  readonly col: number
  readonly row: number
  readonly stepCol: 1 | -1
  readonly stepRow: 1 | -1
}

function placeOnGrid(frame: GridFrame, sheet: Sheet): OnGrid | null {
  const { affine, crs } = sheet.lattice
  if (crs.definition !== frame.crs.definition || affine.xRow !== 0 || affine.yCol !== 0) return null
  const factor = Math.round(frame.cellM / Math.abs(affine.xCol))
  if (factor < 1) return null
  const wide = sheet.coarser(factor)
  const [x0, y0] = toXY(wide.affine, 0, 0)
  const { xCol, yRow } = wide.affine
  const exactCol = (frame.westM + frame.cellM / 2 - x0) / xCol - 0.5
  const exactRow = (frame.northM - frame.cellM / 2 - y0) / yRow - 0.5
  const [col, row] = [Math.round(exactCol), Math.round(exactRow)]
  const drift = Math.max(
    Math.abs(frame.cellM / Math.abs(xCol) - 1) * frame.cols,
    Math.abs(frame.cellM / Math.abs(yRow) - 1) * frame.rows,
    Math.abs(exactCol - col),
    Math.abs(exactRow - row),
  )
  if (!(drift < SLACK_CELLS)) return null
  return { factor, col, row, stepCol: xCol > 0 ? 1 : -1, stepRow: yRow < 0 ? 1 : -1 }
}

/** Takes rows of a grid over from a sheet cell for cell. */
async function copyRows(
  { cols }: GridFrame,
  sheet: Sheet,
  { factor, col, row, stepCol, stepRow }: OnGrid,
  heights: Float32Array,
  top: number,
  rows: number,
  options: SheetOptions,
): Promise<void> {
  const window = {
    col: stepCol > 0 ? col : col - cols + 1,
    row: stepRow > 0 ? row + top : row - top - rows + 1,
    cols,
    rows,
  }
  if (stepCol > 0 && stepRow > 0) {
    await sheet.read(factor, window, options, heights)
    return
  }
  const values = await sheet.read(factor, window, options)
  for (let r = 0, to = 0; r < rows; r++) {
    const line = (stepRow > 0 ? r : rows - 1 - r) * cols
    for (let c = 0; c < cols; c++, to++)
      heights[to] = values[line + (stepCol > 0 ? c : cols - 1 - c)]
  }
}

/** A function that fills rows of a grid from a sheet, bilinear. */
function resampler(
  frame: GridFrame,
  sheet: Sheet,
  part: CellWindow,
  options: SheetOptions,
): Layer['fill'] {
  const factor = Math.max(
    1,
    Math.floor(frame.cellM / Math.sqrt(sheet.cellM[0] * sheet.cellM[1]) + 0.01),
  )
  const { cols: sheetCols, rows: sheetRows } = sheet.coarser(factor)
  const grid = new GridLocator(frame)
  const mapping = new LatticeMapping(part.cols, part.rows, (col, row) => {
    const place = grid.toLatLon({ col: col + part.col, row: row + part.row })
    const [x, y] = sheet.locator.fromLatLon(place)
    return [x / factor - 0.5, y / factor - 0.5]
  })
  const [xs, ys] = [new Float64Array(part.cols), new Float64Array(part.cols)]
  return async (heights, top, rows, onProgress) => {
    const first = Math.max(0, top - part.row)
    const last = Math.min(part.rows, top + rows - part.row)
    heights.fill(NaN)
    if (last <= first) return
    const window = windowUnder(mapping, part.cols, first, last, [xs, ys], [sheetCols, sheetRows])
    if (!window) return
    const values = await sheet.read(factor, window, { ...options, onProgress })
    throwIfCancelled(options.signal)
    for (let row = first; row < last; row++) {
      mapping.mapRow(row, xs, ys)
      const to = (row + part.row - top) * frame.cols + part.col
      bilinearRow(
        values,
        window,
        [sheetCols, sheetRows],
        xs,
        ys,
        heights.subarray(to, to + part.cols),
      )
    }
  }
}

/** The window of a sheet that rows of a mapping lie on; null where they lie beside it. */
function windowUnder(
  mapping: LatticeMapping,
  cols: number,
  first: number,
  last: number,
  [xs, ys]: readonly [Float64Array, Float64Array],
  [sheetCols, sheetRows]: readonly [number, number],
): CellWindow | null {
  let [left, right, top, bottom] = [Infinity, -Infinity, Infinity, -Infinity]
  // The mapping is bilinear between its knots, so that extremes lie on them or at the ends.
  for (let row = first; ; row = Math.min(last - 1, row + 16 - (row % 16))) {
    mapping.mapRow(row, xs, ys)
    for (let col = 0; col < cols; col++) {
      if (xs[col] < left) left = xs[col]
      if (xs[col] > right) right = xs[col]
      if (ys[col] < top) top = ys[col]
      if (ys[col] > bottom) bottom = ys[col]
    }
    if (row === last - 1) break
  }
  const col = Math.max(0, Math.floor(left))
  const row = Math.max(0, Math.floor(top))
  const endCol = Math.min(sheetCols, Math.floor(right) + 2)
  const endRow = Math.min(sheetRows, Math.floor(bottom) + 2)
  if (!(endCol > col && endRow > row)) return null
  return { col, row, cols: endCol - col, rows: endRow - row }
}

/**
 * One row of bilinear values, held at the outermost cell centres over their outer half cells. NaN
 * beyond, and beside missing cells, unless those have no weight.
 */
function bilinearRow(
  values: Float32Array,
  window: CellWindow,
  [sheetCols, sheetRows]: readonly [number, number],
  xs: Float64Array,
  ys: Float64Array,
  out: Float32Array,
): void {
  const { col: left, row: top, cols, rows } = window
  const [lastCol, lastRow] = [cols - 1, rows - 1]
  const [endX, endY] = [sheetCols - 0.5, sheetRows - 0.5]
  for (let i = 0; i < out.length; i++) {
    const x = xs[i]
    const y = ys[i]
    if (!(x >= -0.5 && y >= -0.5 && x <= endX && y <= endY)) continue
    const px = Math.min(lastCol, Math.max(0, x - left))
    const py = Math.min(lastRow, Math.max(0, y - top))
    const col = px | 0
    const row = py | 0
    const fx = px - col
    const fy = py - row
    const at = row * cols + col
    const right = col < lastCol ? 1 : 0
    const below = row < lastRow ? cols : 0
    const nw = values[at]
    const ne = values[at + right]
    const sw = values[at + below]
    const se = values[at + below + right]
    const north = nw + (ne - nw) * fx
    const height = north + (sw + (se - sw) * fx - north) * fy
    out[i] = height === height ? height : mixWeighted(nw, ne, sw, se, fx, fy)
  }
}

function mixWeighted(
  nw: number,
  ne: number,
  sw: number,
  se: number,
  fx: number,
  fy: number,
): number {
  const mix = (a: number, b: number, t: number) => (t === 0 ? a : t === 1 ? b : a + (b - a) * t)
  return mix(mix(nw, ne, fx), mix(sw, se, fx), fy)
}

/** Rows of a grid from several layers, each going over into the next where it ends. */
async function blended(
  cols: number,
  layers: readonly Layer[],
  top: number,
  rows: number,
  onProgress: (share: number) => void,
): Promise<Float32Array> {
  const band = new Float32Array(cols * rows).fill(NaN)
  const owner = new Uint16Array(cols * rows)
  const next = new Float32Array(cols * rows)
  for (const [i, { part, fill }] of layers.entries()) {
    if (part.row + part.rows <= top || part.row >= top + rows) continue
    await fill(next, top, rows, (share) => onProgress((i + share) / layers.length))
    joinLayer(band, next, cols, rows)
    for (let cell = 0; cell < band.length; cell++) {
      if (owner[cell] === 0 && !Number.isNaN(band[cell])) owner[cell] = i + 1
    }
  }
  closeSeams(band, owner, cols, rows)
  return band
}

/** Puts a coarser layer under a finer one, with a gentle way over along the finer one's ends. */
function joinLayer(band: Float32Array, next: Float32Array, cols: number, rows: number): void {
  // Cells to where the finer layer ends and the coarser goes on.
  const away = new Uint8Array(band.length).fill(BLEND_CELLS + 1)
  let anyEnd = false
  for (let i = 0; i < band.length; i++) {
    if (!Number.isNaN(band[i]) || Number.isNaN(next[i])) continue
    away[i] = 0
    anyEnd = true
  }
  if (!anyEnd) return
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      const before = Math.min(col > 0 ? away[i - 1] : 255, row > 0 ? away[i - cols] : 255)
      if (before + 1 < away[i]) away[i] = before + 1
    }
  }
  for (let row = rows - 1, i = rows * cols - 1; row >= 0; row--) {
    for (let col = cols - 1; col >= 0; col--, i--) {
      const after = Math.min(
        col < cols - 1 ? away[i + 1] : 255,
        row < rows - 1 ? away[i + cols] : 255,
      )
      if (after + 1 < away[i]) away[i] = after + 1
    }
  }
  for (let i = 0; i < band.length; i++) {
    const under = next[i]
    if (away[i] > BLEND_CELLS || Number.isNaN(under)) continue
    const share = away[i] / (BLEND_CELLS + 1)
    band[i] = away[i] === 0 ? under : under + (band[i] - under) * share
  }
}

/** Closes gaps one cell wide between two layers: rounding, where two files meet. */
function closeSeams(band: Float32Array, owner: Uint16Array, cols: number, rows: number): void {
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      if (owner[i] !== 0) continue
      const isAcross = col > 0 && col < cols - 1 && areTwo(owner[i - 1], owner[i + 1])
      const isDown = row > 0 && row < rows - 1 && areTwo(owner[i - cols], owner[i + cols])
      if (isAcross) band[i] = (band[i - 1] + band[i + 1]) / 2
      else if (isDown) band[i] = (band[i - cols] + band[i + cols]) / 2
    }
  }
}

function areTwo(a: number, b: number): boolean {
  return a !== 0 && b !== 0 && a !== b
}
