import type { ClearFields } from '../coverage/radialSweep'
import type { GroundArea } from './areas'
import { LANDED_HEIGHT_M } from './landing'

/** Cells of no basin: the sea and lakes at the border, slopes that drain over the border at once. */
export const NO_BASIN = 0
/** Label of an area drawn by hand that is read beside the basins. */
export const DRAWN_AREA = 0
/** A valley much smaller than asked for goes with the one it drains into, share. */
const SMALLEST_SHARE = 0.5

/** Which valley each cell drains through. */
export interface Basins {
  /** Number of the basin, from 1; NO_BASIN for none. */
  readonly labels: Uint32Array
  readonly count: number
}

/**
 * Drainage basins of a terrain, cut at the confluences of streams.
 *
 * From the border inward the lowest ground is flooded first, so every cell has a way out, through
 * hollows too. A cell drains to its steepest neighbour on the flooded surface, on level stretches
 * to the one it was flooded from. Where streams that drain so much ground meet, each is a basin of
 * its own.
 * Source of the flooding: R. Barnes, C. Lehman and D. Mulla, Computers & Geosciences 62 (2014) 117.
 * @param water 1 for level ground, see levelGround; what of it touches the border is the sea
 * @param streamCells how many cells a stream drains where it begins
 */
export function findBasins(
  heights: Float32Array,
  cols: number,
  rows: number,
  water: Uint8Array,
  streamCells: number,
): Basins {
  const { order, drain, sea } = flood(heights, cols, rows, water)
  const drained = new Uint32Array(heights.length).fill(1)
  for (let k = order.length - 1; k >= 0; k--) {
    const cell = order[k]
    if (drain[cell] >= 0 && !sea[drain[cell]]) drained[drain[cell]] += drained[cell]
  }
  // How many streams flow together into each cell.
  const joining = new Uint8Array(heights.length)
  for (const cell of order) {
    if (drain[cell] >= 0 && drained[cell] >= streamCells && joining[drain[cell]] < 255) {
      joining[drain[cell]]++
    }
  }
  const labels = new Uint32Array(heights.length)
  const below: number[] = [NO_BASIN]
  for (const cell of order) {
    if (sea[cell]) continue
    const to = drain[cell]
    const isStream = drained[cell] >= streamCells
    const isMouth = to < 0 || sea[to] === 1
    if (isStream && (isMouth || joining[to] > 1)) {
      below.push(isMouth ? NO_BASIN : labels[to])
      labels[cell] = below.length - 1
    } else {
      labels[cell] = isMouth ? NO_BASIN : labels[to]
    }
  }
  return mergeSmall(labels, below, streamCells * SMALLEST_SHARE)
}

/** Small basins go with the one below; the rest are numbered by size, the largest first. */
function mergeSmall(labels: Uint32Array, below: readonly number[], fewest: number): Basins {
  const sizes = new Uint32Array(below.length)
  for (const label of labels) sizes[label]++
  const into = below.map((_, label) => label)
  // A basin above was numbered after the one below it.
  for (let label = below.length - 1; label > 0; label--) {
    if (sizes[label] >= fewest || below[label] === NO_BASIN) continue
    into[label] = below[label]
    sizes[below[label]] += sizes[label]
  }
  const rootOf = (label: number): number => (into[label] === label ? label : rootOf(into[label]))
  const kept = [...new Set(into.map((_, label) => rootOf(label)))]
    .filter((label) => label !== NO_BASIN)
    .sort((a, b) => sizes[b] - sizes[a])
  const numbers = new Uint32Array(below.length)
  kept.forEach((label, i) => (numbers[label] = i + 1))
  const result = new Uint32Array(labels.length)
  for (let i = 0; i < labels.length; i++) result[i] = numbers[rootOf(labels[i])]
  return { labels: result, count: kept.length }
}

/** Floods a terrain from its border: cells in the order of flooding, and where each drains to. */
function flood(heights: Float32Array, cols: number, rows: number, water: Uint8Array) {
  const order = new Uint32Array(heights.length)
  const drain = new Int32Array(heights.length).fill(-1)
  const sea = new Uint8Array(heights.length)
  const isIn = new Uint8Array(heights.length)
  const levels = new Float32Array(heights.length)
  const queue = new FloodQueue(heights.length)
  const put = (cell: number, from: number, level: number) => {
    if (isIn[cell]) return
    isIn[cell] = 1
    drain[cell] = from
    if (water[cell] && (from < 0 || sea[from])) sea[cell] = 1
    queue.push(cell, level)
  }
  for (let cell = 0; cell < heights.length; cell++) {
    const [col, row] = [cell % cols, (cell / cols) | 0]
    const isBorder = col === 0 || row === 0 || col === cols - 1 || row === rows - 1
    const isMissing = Number.isNaN(heights[cell])
    if (isBorder || isMissing) put(cell, -1, isMissing ? -Infinity : heights[cell])
  }
  let count = 0
  for (let cell = queue.pop(); cell >= 0; cell = queue.pop()) {
    if (!Number.isNaN(heights[cell])) order[count++] = cell
    const level = queue.level
    levels[cell] = level
    const [col, row] = [cell % cols, (cell / cols) | 0]
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const [x, y] = [col + dx, row + dy]
        if (x < 0 || y < 0 || x >= cols || y >= rows) continue
        const next = y * cols + x
        if (isIn[next]) continue
        const isGap = Number.isNaN(heights[cell])
        put(next, isGap ? -1 : cell, Math.max(level, heights[next]))
      }
    }
  }
  const flooded = order.subarray(0, count)
  followSteepest(flooded, levels, cols, rows, drain)
  return { order: flooded, drain, sea }
}

/** Lets cells drain down the steepest way where there is one; lower cells were flooded earlier. */
function followSteepest(
  order: Uint32Array,
  levels: Float32Array,
  cols: number,
  rows: number,
  drain: Int32Array,
): void {
  for (const cell of order) {
    if (drain[cell] < 0) continue
    const [col, row] = [cell % cols, (cell / cols) | 0]
    let steepest = 0
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const [x, y] = [col + dx, row + dy]
        if (x < 0 || y < 0 || x >= cols || y >= rows) continue
        const next = y * cols + x
        const drop = (levels[cell] - levels[next]) / (dx !== 0 && dy !== 0 ? Math.SQRT2 : 1)
        // Gaps lie infinitely deep; what was flooded from one keeps draining into it.
        if (drop > steepest && drop < Infinity) {
          steepest = drop
          drain[cell] = next
        }
      }
    }
  }
}

/** Cells by flood level, the lowest first; of equal ones the one put in first. */
class FloodQueue {
  /** Level of the cell popped last. */
  level = 0
  private readonly cells: Uint32Array
  private readonly levels: Float64Array
  private readonly serials: Uint32Array
  private size = 0
  private serial = 0

  constructor(most: number) {
    this.cells = new Uint32Array(most + 1)
    this.levels = new Float64Array(most + 1)
    this.serials = new Uint32Array(most + 1)
  }

  push(cell: number, level: number): void {
    let at = ++this.size
    const serial = this.serial++
    while (at > 1) {
      const parent = at >> 1
      if (this.levels[parent] <= level) break
      this.copy(parent, at)
      at = parent
    }
    this.cells[at] = cell
    this.levels[at] = level
    this.serials[at] = serial
  }

  /** The lowest cell; -1 where there is none left. */
  pop(): number {
    if (this.size === 0) return -1
    const cell = this.cells[1]
    this.level = this.levels[1]
    const last = this.size--
    const [level, serial] = [this.levels[last], this.serials[last]]
    let at = 1
    for (;;) {
      let child = at << 1
      if (child > this.size) break
      if (child < this.size && this.isBefore(child + 1, child)) child++
      const isLower =
        this.levels[child] < level || (this.levels[child] === level && this.serials[child] < serial)
      if (!isLower) break
      this.copy(child, at)
      at = child
    }
    this.cells[at] = this.cells[last]
    this.levels[at] = level
    this.serials[at] = serial
    return cell
  }

  private isBefore(a: number, b: number): boolean {
    const [x, y] = [this.levels[a], this.levels[b]]
    return x < y || (x === y && this.serials[a] < this.serials[b])
  }

  private copy(from: number, to: number): void {
    this.cells[to] = this.cells[from]
    this.levels[to] = this.levels[from]
    this.serials[to] = this.serials[from]
  }
}

/** How forgiving a valley is. */
export interface Valley {
  readonly label: number
  readonly cells: number
  /** Shares of its cells with an answer, 0 to 1 (NaN without any), with sight at the flying height and down to LANDED_HEIGHT_M. */
  readonly inPicture: number
  readonly toGround: number
  /** Landing areas in it, and those of them that keep some picture to the ground. */
  readonly areas: number
  readonly seenAreas: number
  /** A cell near its middle. */
  readonly middle: number
}

/** Reads the valleys of a terrain at a flying height, the largest first. */
export function readValleys(
  { labels, count }: Basins,
  fields: ClearFields,
  cols: number,
  flyingHeightM: number,
  areas: readonly GroundArea[],
): Valley[] {
  const cells = Array.from({ length: count }, (): number[] => [])
  for (let i = 0; i < labels.length; i++) if (labels[i] > 0) cells[labels[i] - 1].push(i)
  const areasOf = cells.map((): GroundArea[] => [])
  for (const area of areas) areasOf[labels[area.middle] - 1]?.push(area)
  return cells.map((own, i) => readValley(i + 1, own, fields, cols, flyingHeightM, areasOf[i]))
}

/** Reads one valley, or any other part of the terrain, by its cells and the areas in it. */
export function readValley(
  label: number,
  cells: readonly number[],
  { sightM }: ClearFields,
  cols: number,
  flyingHeightM: number,
  areas: readonly GroundArea[],
): Valley {
  let [high, low, x, y, known] = [0, 0, 0, 0, 0]
  for (const cell of cells) {
    x += cell % cols
    y += (cell / cols) | 0
    if (!Number.isNaN(sightM[cell])) known++
    if (sightM[cell] <= flyingHeightM) high++
    if (sightM[cell] <= LANDED_HEIGHT_M) low++
  }
  const count = cells.length
  // The cell nearest to the middle carries the name.
  let [middle, least] = [cells[0], Infinity]
  for (const cell of cells) {
    const squared = ((cell % cols) - x / count) ** 2 + (((cell / cols) | 0) - y / count) ** 2
    if (squared < least) [middle, least] = [cell, squared]
  }
  const isSeen = ({ cells: its }: GroundArea) => its.some((cell) => sightM[cell] <= LANDED_HEIGHT_M)
  return {
    label,
    cells: count,
    inPicture: high / known,
    toGround: low / known,
    areas: areas.length,
    seenAreas: areas.filter(isSeen).length,
    middle,
  }
}
