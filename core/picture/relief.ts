import type { TerrainGrid } from '../terrain/grid'
import type { View } from './view'

/** Shade kept for perfectly flat cells (water, ice, a filled void): just what level ground gets. */
const FLAT = 209
/** Light from the north-west, the convention of relief maps, 45 degrees up. */
const LIGHT = { east: -0.5, north: 0.5, up: Math.SQRT1_2 }
/** Share of that light; the rest comes from overhead, so that no slope is quite black. */
const SIDE_LIGHT = 0.62
/** Slopes look flatter from above than on foot. */
const EXAGGERATION = 1.3

const WATER = [203, 219, 229] as const
/** Paper from the lowest to the highest ground of the site. */
const PAPER = [
  [213, 220, 205],
  [228, 222, 204],
  [233, 226, 216],
  [248, 247, 245],
] as const
const CONTOUR = [112, 84, 58] as const
/** Ground without data is hatched, and filled voids are dotted, on a pattern of so many pixels. */
const VOID = [233, 230, 222] as const
const VOID_LINE = [158, 153, 142] as const
const VOID_PIXELS = 9
const FILLED_DOT = [120, 60, 130] as const
const FILLED_PIXELS = 5

/** Contour intervals to choose from, in the unit of the contours. */
const INTERVALS = [5, 10, 20, 50, 100, 200, 500, 1000]
/** Contours on a 30 degree slope stay at least this far apart. */
const LEAST_GAP_PIXELS = 9

interface Level {
  readonly cols: number
  readonly rows: number
  readonly heights: Float32Array
  /** 0 dark to 255 bright; FLAT for perfectly flat cells alone. */
  readonly shades: Uint8Array
}

/** Metres in a unit of height. */
export const METRES_PER_FOOT = 0.3048

/** Spacing of contours for a pixel size, in the unit given (metres a unit). */
export function contourInterval(pixelM: number, metresPerUnit: number): number {
  const least = (LEAST_GAP_PIXELS * pixelM * Math.tan(Math.PI / 6)) / metresPerUnit
  return INTERVALS.find((interval) => interval >= least) ?? INTERVALS[INTERVALS.length - 1]
}

/**
 * Hillshade, height tint and contours of a terrain, ready to be painted at any scale: heights
 * and shades at full size and halved again and again, so that a picture of the whole site does
 * not flicker between cells.
 */
export class Relief {
  private readonly levels: Level[]
  private readonly lowest: number
  private readonly range: number
  private readonly filled: Uint8Array | null

  constructor(terrain: TerrainGrid) {
    this.filled = terrain.filled ?? null
    let level: Level = { ...terrain, shades: shade(terrain) }
    this.levels = [level]
    while (level.cols > 128 && level.rows > 128) this.levels.push((level = halve(level)))
    let [lowest, highest] = [Infinity, -Infinity]
    for (const height of level.heights) {
      if (height < lowest) lowest = height
      if (height > highest) highest = height
    }
    this.lowest = lowest
    this.range = Math.max(1, highest - lowest)
  }

  /**
   * Paints the relief under a view as RGBA bytes: hatched where there is no data, dotted where a
   * void was filled, transparent past the border.
   */
  paint(view: View, pixels: Uint8ClampedArray, metresPerUnit: number): void {
    const { width, height } = view
    const depth = Math.max(0, Math.round(Math.log2(view.cellsPerPixel)))
    const level = Math.min(depth, this.levels.length - 1)
    const { cols, rows, heights, shades } = this.levels[level]
    const scale = 2 ** -level
    const interval = contourInterval(view.pixelM, metresPerUnit) * metresPerUnit

    const x = new Float64Array(width + 1)
    const y = new Float64Array(width + 1)
    let above = new Float32Array(width + 1)
    let here = new Float32Array(width + 1)
    const light = new Float32Array(width + 1)
    const flat = new Uint8Array(width + 1)
    const cells = new Int32Array(width + 1)
    for (let row = height; row >= 0; row--) {
      view.mapping.mapRow(row, x, y)
      const below = above
      above = here
      here = below
      for (let col = 0; col <= width; col++) {
        const cx = (x[col] + 0.5) * scale - 0.5
        const cy = (y[col] + 0.5) * scale - 0.5
        here[col] = NaN
        cells[col] = OUTSIDE
        if (!(cx >= -0.5 && cy >= -0.5 && cx < cols - 0.5 && cy < rows - 0.5)) continue
        const px = cx < 0 ? 0 : cx > cols - 1 ? cols - 1 : cx
        const py = cy < 0 ? 0 : cy > rows - 1 ? rows - 1 : cy
        const c = Math.min(cols - 2, px | 0)
        const r = Math.min(rows - 2, py | 0)
        const i = r * cols + c
        const fx = px - c
        const fy = py - r
        const top = heights[i] + (heights[i + 1] - heights[i]) * fx
        const bottom = heights[i + cols] + (heights[i + cols + 1] - heights[i + cols]) * fx
        here[col] = top + (bottom - top) * fy
        const nearest = (fy < 0.5 ? i : i + cols) + (fx < 0.5 ? 0 : 1)
        if (Number.isNaN(here[col])) here[col] = heights[nearest]
        const lightTop = shades[i] + (shades[i + 1] - shades[i]) * fx
        const lightBottom = shades[i + cols] + (shades[i + cols + 1] - shades[i + cols]) * fx
        light[col] = lightTop + (lightBottom - lightTop) * fy
        flat[col] = shades[nearest] === FLAT ? 1 : 0
        cells[col] = this.cellAt(x[col], y[col])
      }
      if (row === height) continue
      for (let col = 0, out = row * width * 4; col < width; col++, out += 4) {
        if (cells[col] === OUTSIDE) {
          pixels[out + 3] = 0
          continue
        }
        const ground = here[col]
        const [across, down] = [view.patternX + col, view.patternY + row]
        if (Number.isNaN(ground)) {
          ink(pixels, out, (across + down) % VOID_PIXELS === 0 ? VOID_LINE : VOID)
        } else if (
          this.filled?.[cells[col]] &&
          across % FILLED_PIXELS === 0 &&
          down % FILLED_PIXELS === 0
        ) {
          ink(pixels, out, FILLED_DOT)
        } else {
          const line = contourStrength(ground, here[col + 1], above[col], interval)
          this.blend(pixels, out, ground, flat[col] === 1, light[col], line)
        }
      }
    }
  }

  /** The cell at full size under a position inside. */
  private cellAt(x: number, y: number): number {
    const { cols, rows } = this.levels[0]
    const col = Math.min(cols - 1, Math.max(0, Math.round(x)))
    return Math.min(rows - 1, Math.max(0, Math.round(y))) * cols + col
  }

  private blend(
    pixels: Uint8ClampedArray,
    out: number,
    ground: number,
    isFlat: boolean,
    light: number,
    line: number,
  ): void {
    const tint = Math.min(0.999, Math.max(0, (ground - this.lowest) / this.range)) * 3
    const low = PAPER[tint | 0]
    const high = PAPER[(tint | 0) + 1]
    const mix = tint - (tint | 0)
    for (let band = 0; band < 3; band++) {
      const paper = isFlat ? WATER[band] : low[band] + (high[band] - low[band]) * mix
      const lit = isFlat ? paper : paper * (0.34 + (0.76 * light) / 255)
      pixels[out + band] = lit + (CONTOUR[band] - lit) * line
    }
    pixels[out + 3] = 255
  }
}

const OUTSIDE = -1

function ink(pixels: Uint8ClampedArray, out: number, [r, g, b]: readonly number[]): void {
  pixels[out] = r
  pixels[out + 1] = g
  pixels[out + 2] = b
  pixels[out + 3] = 255
}

/** Share of ink that a contour leaves on a pixel, from its height and two neighbours'. */
function contourStrength(ground: number, east: number, south: number, interval: number): number {
  const rise = Math.abs(east - ground) + Math.abs(south - ground)
  if (!(rise > 0)) return 0
  const steps = ground / interval
  const nearest = Math.round(steps)
  const isIndex = nearest % 5 === 0
  const distancePixels = (Math.abs(steps - nearest) * interval) / rise
  const ink = Math.max(0, Math.min(1, (isIndex ? 1.15 : 0.85) - distancePixels))
  return ink * (isIndex ? 0.62 : 0.34)
}

/** Lambert shading of every cell by Horn's slope (B. K. P. Horn, Proc. IEEE 69/1, 1981). */
function shade({ heights, cols, rows, cellM }: TerrainGrid): Uint8Array {
  const shades = new Uint8Array(cols * rows)
  const run = (8 * cellM) / EXAGGERATION
  for (let row = 0, i = 0; row < rows; row++) {
    const up = row > 0 ? -cols : 0
    const down = row < rows - 1 ? cols : 0
    for (let col = 0; col < cols; col++, i++) {
      const left = col > 0 ? -1 : 0
      const right = col < cols - 1 ? 1 : 0
      const nw = heights[i + up + left]
      const n = heights[i + up]
      const ne = heights[i + up + right]
      const w = heights[i + left]
      const e = heights[i + right]
      const sw = heights[i + down + left]
      const s = heights[i + down]
      const se = heights[i + down + right]
      const dEast = (ne + 2 * e + se - nw - 2 * w - sw) / run
      const dNorth = (nw + 2 * n + ne - sw - 2 * s - se) / run
      if (dEast === 0 && dNorth === 0) {
        const centre = heights[i]
        const flat = nw === centre && n === centre && ne === centre && w === centre && e === centre
        shades[i] = flat && sw === centre && s === centre && se === centre ? FLAT : FLAT + 1
        continue
      }
      const facing = LIGHT.up - dEast * LIGHT.east - dNorth * LIGHT.north
      const steepness = Math.sqrt(1 + dEast * dEast + dNorth * dNorth)
      const lit = (SIDE_LIGHT * Math.max(0, facing) + 1 - SIDE_LIGHT) / steepness
      shades[i] = Number.isNaN(lit) ? FLAT + 1 : notFlat(Math.min(255, lit * 255))
    }
  }
  return shades
}

/** A shade that cannot be taken for the mark of flat cells. */
function notFlat(shade: number): number {
  const whole = Math.round(shade)
  return whole === FLAT ? FLAT + 1 : whole
}

/** The same ground with cells twice as wide. */
function halve({ cols, rows, heights, shades }: Level): Level {
  const halfCols = Math.ceil(cols / 2)
  const halfRows = Math.ceil(rows / 2)
  const half: Level = {
    cols: halfCols,
    rows: halfRows,
    heights: new Float32Array(halfCols * halfRows),
    shades: new Uint8Array(halfCols * halfRows),
  }
  for (let row = 0, out = 0; row < halfRows; row++) {
    for (let col = 0; col < halfCols; col++, out++) {
      let [sum, count, light, lit] = [0, 0, 0, 0]
      for (let k = 0; k < 4; k++) {
        const r = Math.min(rows - 1, 2 * row + (k >> 1))
        const c = Math.min(cols - 1, 2 * col + (k & 1))
        const i = r * cols + c
        if (!Number.isNaN(heights[i])) {
          sum += heights[i]
          count++
        }
        if (shades[i] !== FLAT) {
          light += shades[i]
          lit++
        }
      }
      half.heights[out] = count > 0 ? sum / count : NaN
      half.shades[out] = lit > 1 ? notFlat(light / lit) : FLAT
    }
  }
  return half
}
