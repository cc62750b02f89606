import { bilinear } from './grid'
import { coarser, inverseOf, LatticeLocator, toXY, type Lattice } from './lattice'
import type { TerrainFile, WorkOptions } from './terrainFile'
import type { CellWindow } from './tiffRaster'

/** Cells decoded at a time while means are taken. */
const CELLS_PER_BAND = 4_000_000
/** A rough look at more cells than this reads some blocks only, so many at most. */
const ROUGH_ABOVE_CELLS = 40_000_000
const ROUGH_BLOCKS = 600
/** Cells of one lattice may be off by this share of a cell at its far end: that is rounding. */
const SLACK_CELLS = 0.02

export interface SheetOptions extends WorkOptions {
  /** A glance is enough: of a large file without coarser copies only some blocks are read. */
  readonly isRough?: boolean
}

interface Member {
  readonly file: TerrainFile
  /** Where its first cell lies on the sheet. */
  readonly col: number
  readonly row: number
}

/**
 * Files that lie on one common lattice, cell on cell, read as one raster: what one of them leaves
 * out the next may have, and nothing shows of where one ends and the other begins.
 */
export class Sheet {
  readonly lattice: Lattice
  readonly locator: LatticeLocator
  /** Edges of its middle cell on the ground, metres. */
  readonly cellM: readonly [number, number]
  private readonly members: readonly Member[]

  private constructor(files: readonly TerrainFile[]) {
    const [{ lattice: first }] = files
    const places = files.map((file) => offsetOn(first, file.lattice))
    const [left, top] = [0, 1].map((axis) => places.reduce((a, b) => Math.min(a, b[axis]), 0))
    const ends = files.map(({ lattice: { cols, rows } }, i) => [
      places[i][0] + cols,
      places[i][1] + rows,
    ])
    const [right, bottom] = [0, 1].map((axis) => ends.reduce((a, b) => Math.max(a, b[axis]), 0))
    const [x0, y0] = toXY(first.affine, left, top)
    this.lattice = {
      ...first,
      cols: right - left,
      rows: bottom - top,
      affine: { ...first.affine, x0, y0 },
    }
    this.members = files.map((file, i) => ({
      file,
      col: places[i][0] - left,
      row: places[i][1] - top,
    }))
    this.locator = new LatticeLocator(this.lattice)
    const { cols, rows } = this.lattice
    this.cellM = this.locator.cellEdgesM(cols / 2, rows / 2)
  }

  /** Sorts files into as few sheets as they make, the one with the finest cells first. */
  static arrange(files: readonly TerrainFile[]): Sheet[] {
    const groups: TerrainFile[][] = []
    for (const file of files) {
      const home = groups.find(([other]) => isSameLattice(other.lattice, file.lattice))
      if (home) home.push(file)
      else groups.push([file])
    }
    return groups
      .map((group) => new Sheet(group))
      .sort((a, b) => a.cellM[0] * a.cellM[1] - b.cellM[0] * b.cellM[1])
  }

  /**
   * Heights in metres of a window, in cells `factor` times as wide: the file's own values for 1,
   * else the mean of those there are. NaN where there is none, and outside.
   * @param heights where they go
   */
  async read(
    factor: number,
    window: CellWindow,
    options: SheetOptions = {},
    heights: Float32Array = new Float32Array(window.cols * window.rows),
  ): Promise<Float32Array> {
    const fine = {
      col: window.col * factor,
      row: window.row * factor,
      cols: window.cols * factor,
      rows: window.rows * factor,
    }
    const parts = this.members.flatMap((member) => {
      const part = overlap(member, fine)
      return part ? [{ member, part }] : []
    })
    const [only] = parts
    if (factor === 1 && parts.length === 1 && isAll(only.part, window)) {
      return only.member.file.read(0, only.part, options, heights)
    }
    heights.fill(NaN)
    const report = (done: number) => (share: number) =>
      options.onProgress?.((done + share) / parts.length)
    if (factor === 1) {
      for (const [i, { member, part }] of parts.entries()) {
        await copyPart(member, part, window, heights, { ...options, onProgress: report(i) })
      }
      return heights
    }
    const [sums, counts] = [new Float32Array(heights.length), new Float32Array(heights.length)]
    for (const [i, { member, part }] of parts.entries()) {
      const means = { factor, window, sums, counts }
      await addPart(member, part, means, { ...options, onProgress: report(i) })
    }
    for (let i = 0; i < heights.length; i++) if (counts[i] > 0) heights[i] = sums[i] / counts[i]
    return heights
  }

  /** The lattice of cells `factor` times as wide. */
  coarser(factor: number): Lattice {
    return coarser(this.lattice, factor)
  }
}

/** Where the first cell of one lattice lies on another, in whole cells. */
function offsetOn(lattice: Lattice, other: Lattice): [number, number] {
  const [col, row] = exactOffset(lattice, other)
  return [Math.round(col), Math.round(row)]
}

function exactOffset({ affine }: Lattice, other: Lattice): readonly [number, number] {
  return inverseOf(affine)(other.affine.x0, other.affine.y0)
}

/** True where cells of one lattice lie on cells of the other all over both. */
function isSameLattice(a: Lattice, b: Lattice): boolean {
  if (a.crs.definition !== b.crs.definition) return false
  const cell = Math.hypot(a.affine.xCol, a.affine.yCol, a.affine.xRow, a.affine.yRow)
  const [col, row] = exactOffset(a, b)
  const reach = Math.max(a.cols, a.rows, b.cols, b.rows, Math.abs(col), Math.abs(row))
  const drift = (['xCol', 'xRow', 'yCol', 'yRow'] as const).reduce(
    (worst, key) => Math.max(worst, Math.abs(a.affine[key] - b.affine[key])),
    0,
  )
  return (
    (drift / cell) * reach < SLACK_CELLS &&
    Math.abs(col - Math.round(col)) < SLACK_CELLS &&
    Math.abs(row - Math.round(row)) < SLACK_CELLS
  )
}

/** The part of a member that lies in a window of the sheet, in the member's own cells. */
function overlap({ file, col, row }: Member, window: CellWindow): CellWindow | null {
  const { cols, rows } = file.lattice
  const left = Math.max(0, window.col - col)
  const top = Math.max(0, window.row - row)
  const right = Math.min(cols, window.col + window.cols - col)
  const bottom = Math.min(rows, window.row + window.rows - row)
  return right > left && bottom > top
    ? { col: left, row: top, cols: right - left, rows: bottom - top }
    : null
}

function isAll(part: CellWindow, window: CellWindow): boolean {
  return part.cols === window.cols && part.rows === window.rows
}

async function copyPart(
  { file, col, row }: Member,
  part: CellWindow,
  window: CellWindow,
  heights: Float32Array,
  options: WorkOptions,
): Promise<void> {
  const own = await file.read(0, part, options)
  for (let r = 0, from = 0; r < part.rows; r++) {
    let to = (row + part.row + r - window.row) * window.cols + col + part.col - window.col
    // What an earlier file has stays.
    for (let c = 0; c < part.cols; c++, from++, to++) {
      if (Number.isNaN(heights[to])) heights[to] = own[from]
    }
  }
}

/** Adds a member's heights to the sums of the wide cells they lie in. */
async function addPart(
  { file, col, row }: Member,
  part: CellWindow,
  means: Means,
  { signal, onProgress, isRough }: SheetOptions,
): Promise<void> {
  const { factor, window, sums, counts } = means
  // A coarser copy in the file serves as long as each wide cell still is the mean of four of it.
  const factors = file.levelFactors
  let level = 0
  while (level + 1 < factors.length && factors[level + 1] <= factor / 2 + 0.01) level++
  const [stepCol, stepRow] = stepsOf(file, level)
  const size = file.levelSize(level)
  const left = Math.floor(part.col / stepCol)
  const right = Math.min(size.cols, Math.ceil((part.col + part.cols) / stepCol))
  const top = Math.floor(part.row / stepRow)
  const bottom = Math.min(size.rows, Math.ceil((part.row + part.rows) / stepRow))
  const across = right - left
  if (isRough && across * (bottom - top) > ROUGH_ABOVE_CELLS) {
    const area = { col: left, row: top, cols: across, rows: bottom - top }
    await addSomeBlocks({ file, col, row }, level, area, means, { signal, onProgress })
    return
  }
  const blockRows = file.blockSize(level).rows
  const bandRows = Math.max(1, Math.round(CELLS_PER_BAND / across / blockRows)) * blockRows
  const target = new Int32Array(across)
  for (let c = 0; c < across; c++) {
    const at = Math.floor((col + (left + c + 0.5) * stepCol) / factor) - window.col
    target[c] = at >= 0 && at < window.cols ? at : -1
  }
  for (let from = top; from < bottom; from += bandRows) {
    const rows = Math.min(bandRows, bottom - from)
    const values = await file.read(level, { col: left, row: from, cols: across, rows }, { signal })
    for (let r = 0, i = 0; r < rows; r++) {
      const at = Math.floor((row + (from + r + 0.5) * stepRow) / factor) - window.row
      if (at < 0 || at >= window.rows) {
        i += across
        continue
      }
      const line = at * window.cols
      for (let c = 0; c < across; c++, i++) {
        if (target[c] < 0 || Number.isNaN(values[i])) continue
        sums[line + target[c]] += values[i]
        counts[line + target[c]]++
      }
    }
    onProgress?.((from + rows - top) / (bottom - top))
  }
}

/** Sums and counts of heights in wide cells. */
interface Means {
  readonly factor: number
  readonly window: CellWindow
  readonly sums: Float32Array
  readonly counts: Float32Array
}

/**
 * A rough look at a large file: some of its blocks are read, and between their means heights are
 * interpolated. Strips as wide as the file keep their columns.
 */
async function addSomeBlocks(
  { file, col, row }: Member,
  level: number,
  area: CellWindow,
  { factor, window, sums, counts }: Means,
  { signal, onProgress }: WorkOptions,
): Promise<void> {
  const block = file.blockSize(level)
  const [stepCol, stepRow] = stepsOf(file, level)
  const isStrip = block.cols >= area.cols
  const across = isStrip ? area.cols : Math.ceil(area.cols / block.cols)
  const down = Math.ceil(area.rows / block.rows)
  const every = isStrip
    ? Math.ceil(down / ROUGH_BLOCKS)
    : Math.ceil(Math.sqrt((across * down) / ROUGH_BLOCKS))
  const [cols, rows] = [isStrip ? across : Math.ceil(across / every), Math.ceil(down / every)]
  const known = new Float32Array(cols * rows)
  for (let y = 0; y < rows; y++) {
    const top = area.row + y * every * block.rows
    const height = Math.min(block.rows, area.row + area.rows - top)
    for (let x = 0; x < (isStrip ? 1 : cols); x++) {
      const left = area.col + (isStrip ? 0 : x * every * block.cols)
      const width = Math.min(isStrip ? cols : block.cols, area.col + area.cols - left)
      const part = { col: left, row: top, cols: width, rows: isStrip ? 1 : height }
      const values = await file.read(level, part, { signal })
      if (isStrip) known.set(values, y * cols)
      else known[y * cols + x] = meanOf(values)
    }
    onProgress?.((y + 1) / rows)
  }
  // Cells of the level under the middles of wide cells, and their places among what was read.
  const under = (wide: number, shift: number, step: number) =>
    ((wide + 0.5) * factor - shift) / step
  const [stride, middle] = isStrip ? [1, 0.5] : [every * block.cols, block.cols / 2]
  const [strideRow, middleRow] = [every * block.rows, isStrip ? 0.5 : block.rows / 2]
  for (let r = 0; r < window.rows; r++) {
    const fromTop = under(window.row + r, row, stepRow) - area.row
    if (fromTop < 0 || fromTop > area.rows) continue
    for (let c = 0; c < window.cols; c++) {
      const fromLeft = under(window.col + c, col, stepCol) - area.col
      if (fromLeft < 0 || fromLeft > area.cols) continue
      const [x, y] = [(fromLeft - middle) / stride, (fromTop - middleRow) / strideRow]
      const height = bilinear(known, cols, rows, x, y)
      if (Number.isNaN(height)) continue
      sums[r * window.cols + c] += height
      counts[r * window.cols + c]++
    }
  }
}

/** Mean of the heights there are; NaN where there are none. */
function meanOf(values: Float32Array): number {
  let [sum, count] = [0, 0]
  for (const value of values) {
    if (Number.isNaN(value)) continue
    sum += value
    count++
  }
  return sum / count
}

/** How many of a file's own cells a cell of one of its scales is wide and high. */
function stepsOf(file: TerrainFile, level: number): [number, number] {
  const { cols, rows } = file.levelSize(level)
  return [file.lattice.cols / cols, file.lattice.rows / rows]
}
