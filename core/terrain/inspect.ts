import type { LatLon } from '../geodesy/earth'
import { isGeographic, isMetric, type Crs } from '../geodesy/crs'
import { isAligned, LatticeLocator } from './lattice'
import type { FileFacts, TerrainFile, WorkOptions } from './terrainFile'

/** What a file is, found out before it is used. */
export interface FileReport {
  readonly facts: FileFacts
  readonly crs: Crs
  readonly cols: number
  readonly rows: number
  /** Edges of a cell in the file's own unit: metres, degrees, or the unit of its system. */
  readonly step: readonly [number, number]
  readonly stepUnit: 'm' | '°' | 'units'
  /** Edges of the middle cell on the ground, metres. */
  readonly cellM: readonly [number, number]
  readonly direction: 'north up' | 'south up' | 'mirrored' | 'rotated'
  /** Corners on WGS 84, in the order of the file: first row left and right, last row right, left. */
  readonly corners: readonly LatLon[]
  readonly lowestM: number
  readonly highestM: number
  /** Share of the cells without a height, 0 to 1. */
  readonly missingShare: number
  /** True where only a part of a large file was looked at. */
  readonly isSample: boolean
  readonly oddities: readonly Oddity[]
}

/** A value that is likely no height though the file does not say so. */
export interface Oddity {
  /** As the file holds it. */
  readonly value: number
  readonly share: number
  /**
   * `impossible`: no ground lies there, so that it is taken as missing anyway. `apart`: it is
   * frequent and far from all other heights; whether it is missing is for the pilot to say.
   */
  readonly kind: 'impossible' | 'apart'
}

/** Cells looked at, at most, and at least where a coarser copy serves. */
const MOST_CELLS = 9_000_000
const ENOUGH_CELLS = 250_000
/** Blocks of a large file without coarser copies that are looked at. */
const SAMPLED_BLOCKS = 100
/** A value this far from all others, metres, in so large a share of the cells is remarked on. */
const APART_M = 50
const APART_SHARE = 0.0005
const APART_CELLS = 20
/** Impossible values told apart. */
const MOST_ODDITIES = 4

/** Looks at a file's heights: all of them where they are few, a coarser copy, or some blocks. */
export async function inspectFile(
  file: TerrainFile,
  options: WorkOptions = {},
): Promise<FileReport> {
  const { lattice, facts } = file
  const { affine, crs, cols, rows } = lattice
  const locator = new LatticeLocator(lattice)
  const tally = new Tally(file)
  const isSample = await sample(file, tally, options)
  const { xCol, xRow, yCol, yRow } = affine
  const corners = [
    [0, 0],
    [cols, 0],
    [cols, rows],
    [0, rows],
  ].map(([col, row]) => locator.toLatLon(col, row))
  return {
    facts,
    crs,
    cols,
    rows,
    step: [Math.hypot(xCol, yCol), Math.hypot(xRow, yRow)],
    stepUnit: isGeographic(crs) ? '°' : isMetric(crs) ? 'm' : 'units',
    cellM: locator.cellEdgesM(cols / 2, rows / 2),
    direction: !isAligned(affine)
      ? 'rotated'
      : xCol < 0
        ? 'mirrored'
        : yRow > 0
          ? 'south up'
          : 'north up',
    corners,
    ...tally.result(),
    isSample,
  }
}

/** Feeds values to a tally; true where they are not all the file has. */
async function sample(file: TerrainFile, tally: Tally, options: WorkOptions): Promise<boolean> {
  const sizes = file.levelFactors.map((_factor, level) => file.levelSize(level))
  const enough = sizes.findLastIndex(({ cols, rows }) => cols * rows >= ENOUGH_CELLS)
  const level = Math.max(0, enough)
  const { cols, rows } = sizes[level]
  if (cols * rows <= MOST_CELLS) {
    tally.add(await file.readRaw(level, { col: 0, row: 0, cols, rows }, options))
    return level > 0
  }
  const block = file.blockSize(level)
  const [across, down] = [Math.ceil(cols / block.cols), Math.ceil(rows / block.rows)]
  const every = Math.max(1, Math.floor((across * down) / SAMPLED_BLOCKS))
  // Rows of blocks are walked through with a step that shares no rhythm with them.
  for (let index = Math.floor(every / 2); index < across * down; index += every) {
    const col = (index % across) * block.cols
    const row = Math.floor(index / across) * block.rows
    const window = {
      col,
      row,
      cols: Math.min(block.cols, cols - col),
      rows: Math.min(block.rows, rows - row),
    }
    tally.add(await file.readRaw(level, window, { signal: options.signal }))
    options.onProgress?.(index / (across * down))
  }
  return true
}

/** Counts over values as the file holds them. */
class Tally {
  private count = 0
  private missing = 0
  private readonly impossible = new Map<number, number>()
  private readonly low = new Extreme(1)
  private readonly high = new Extreme(-1)

  constructor(private readonly file: TerrainFile) {}

  add(values: Float64Array): void {
    for (const value of values) {
      this.count++
      if (Number.isNaN(value)) this.missing++
      else if (this.file.isImpossible(value)) {
        this.missing++
        const before = this.impossible.get(value)
        if (before !== undefined || this.impossible.size < MOST_ODDITIES) {
          this.impossible.set(value, (before ?? 0) + 1)
        }
      } else {
        this.low.add(value)
        this.high.add(value)
      }
    }
  }

  result(): Pick<FileReport, 'lowestM' | 'highestM' | 'missingShare' | 'oddities'> {
    const { file, count, low, high } = this
    const oddities: Oddity[] = [...this.impossible].map(([value, times]) => ({
      value,
      share: times / count,
      kind: 'impossible',
    }))
    for (const { value, times, next } of [low, high]) {
      const gapM = Math.abs(file.toMetres(next) - file.toMetres(value))
      if (gapM >= APART_M && times >= APART_CELLS && times >= APART_SHARE * count) {
        oddities.push({ value, share: times / count, kind: 'apart' })
      }
    }
    const [a, b] = [file.toMetres(low.value), file.toMetres(high.value)]
    return {
      lowestM: Math.min(a, b),
      highestM: Math.max(a, b),
      missingShare: this.missing / count,
      oddities,
    }
  }
}

/** The outermost value in one direction, how often it comes, and the one next to it. */
class Extreme {
  value = NaN
  times = 0
  next = NaN

  /** @param sign 1 for the lowest, -1 for the highest */
  constructor(private readonly sign: 1 | -1) {}

  add(value: number): void {
    if (value === this.value) this.times++
    else if (!(this.sign * value > this.sign * this.value)) {
      this.next = this.value
      this.value = value
      this.times = 1
    } else if (!(this.sign * value > this.sign * this.next)) this.next = value
  }
}
