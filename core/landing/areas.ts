import { PilotError } from '../errors'
import type { Surface } from '../surface/surface'
import { cellBounds } from './cellBounds'
import { say, type TextKey } from '../words/say'
import type { GroundShape } from './slope'

/** What ground must be like to land on. */
export interface LandingLimits {
  readonly steepestDeg: number
  /** See GroundShape. */
  readonly roughestM: number
  /** Smallest area, square metres. */
  readonly smallestM2: number
  /** Kept from obstacles and wires, metres. */
  readonly fromObstaclesM: number
  /** Kept from the upper edge of steep ground below, metres. */
  readonly fromEdgesM: number
}

export const USUAL_LANDING: LandingLimits = {
  steepestDeg: 8,
  roughestM: 1.2,
  smallestM2: 2500,
  fromObstaclesM: 30,
  fromEdgesM: 30,
}

/** Values the limits may have. */
export const LANDING_RANGES = {
  steepestDeg: [0.5, 45],
  roughestM: [0.05, 20],
  smallestM2: [1, 1_000_000],
  fromObstaclesM: [0, 500],
  fromEdgesM: [0, 500],
} as const

/** Ground steeper than this below is an edge to keep from, degrees. */
const EDGE_DEG = 30
/** And it must lie so far below, metres: the foot of a slope is no edge. */
const EDGE_DROP_M = 3
/** Larger areas are cut into blocks of such a side, metres. */
const LARGEST_M2 = 250_000
const BLOCK_M = 400
/** Directions in which the longest run is looked for. */
const RUN_DIRECTIONS = 36

/** Connected ground that one can land on. */
export interface GroundArea {
  /** Cells of the area. */
  readonly cells: Uint32Array
  /** The cell farthest from the border of the area: where one would put it down. */
  readonly middle: number
  readonly sizeM2: number
  /** Longest straight run inside, and its direction from the top of the grid, 0 to 180 degrees. */
  readonly runM: number
  readonly runDeg: number
  readonly meanSlopeDeg: number
  readonly meanHeightM: number
}

/** Why cells were left out, most first. */
export interface LandingSearch {
  readonly areas: readonly GroundArea[]
  /** Cells with data, and of them those that each limit alone excludes. */
  readonly cells: number
  readonly excluded: Readonly<Record<Exclusion, number>>
}

export const EXCLUSIONS = ['steep', 'rough', 'level', 'obstacles', 'edges', 'excluded'] as const
export type Exclusion = (typeof EXCLUSIONS)[number]

const EXCLUSION_WORDS: Readonly<Record<Exclude<Exclusion, 'level'>, TextKey>> = {
  steep: 'common.steepestSlopeAllowed',
  rough: 'areas.roughnessAllowed',
  obstacles: 'areas.distanceObstacles',
  edges: 'areas.distanceEdgesSteepGround',
  excluded: 'areas.excludedAreas',
}

interface Ground extends Surface {
  readonly heights: Float32Array
  readonly cols: number
  readonly rows: number
}

/**
 * Ground to land on: areas that keep all limits. Uniform vegetation is left out of account, since
 * it stands for trees that may be anywhere; obstacles and woods that were put in are kept from.
 * @param level see levelGround
 * @param excluded 1 for cells nobody should land on
 * Throws a PilotError that says which limit excludes most, where no area is left.
 */
export function findAreas(
  ground: Ground,
  shape: GroundShape,
  level: Uint8Array,
  excluded: Uint8Array | null,
  cellM: number,
  limits: LandingLimits,
): LandingSearch {
  const { heights, bare, cols, rows } = ground
  const { slopeDeg, roughnessM } = shape
  const nearObstacle = lowestAround(cols, rows, limits.fromObstaclesM / cellM, (i) =>
    bare[i] > heights[i] ? 0 : Infinity,
  )
  const steepBelow = lowestAround(cols, rows, limits.fromEdgesM / cellM, (i) =>
    slopeDeg[i] > EDGE_DEG ? heights[i] : Infinity,
  )
  const counts: Record<Exclusion, number> = {
    steep: 0,
    rough: 0,
    level: 0,
    obstacles: 0,
    edges: 0,
    excluded: 0,
  }
  const fit = new Uint8Array(heights.length)
  let cells = 0
  for (let i = 0; i < heights.length; i++) {
    if (Number.isNaN(slopeDeg[i])) continue
    cells++
    const isSteep = slopeDeg[i] > limits.steepestDeg
    const isRough = roughnessM[i] > limits.roughestM
    if (isSteep) counts.steep++
    if (isRough) counts.rough++
    if (level[i]) counts.level++
    const isNear = nearObstacle[i] === 0
    const isEdge = steepBelow[i] < heights[i] - EDGE_DROP_M
    if (isNear) counts.obstacles++
    if (isEdge) counts.edges++
    if (excluded?.[i]) counts.excluded++
    const isOut = isSteep || isRough || level[i] || isNear || isEdge || excluded?.[i]
    if (!isOut) fit[i] = 1
  }
  const fewest = limits.smallestM2 / (cellM * cellM)
  const blockCells = Math.max(1, Math.round(BLOCK_M / cellM))
  const areas = connected(fit, cols, rows)
    .filter((area) => area.length >= fewest)
    .flatMap((area) =>
      area.length * cellM * cellM > LARGEST_M2 ? blocksOf(area, cols, blockCells, fewest) : [area],
    )
    .map((area) => describeArea(area, ground, slopeDeg, cellM))
    .sort((a, b) => b.sizeM2 - a.sizeM2)
  if (areas.length === 0) throw new PilotError(noneLeft(fit, counts, limits))
  return { areas, cells, excluded: counts }
}

function noneLeft(
  fit: Uint8Array,
  counts: Record<Exclusion, number>,
  limits: LandingLimits,
): string {
  const [worst] = [...EXCLUSIONS].sort((a, b) => counts[b] - counts[a])
  if (counts[worst] === 0 && !fit.includes(1)) {
    return say('areas.thereNoGroundLand')
  }
  const tooSmall = say('areas.whatKeepsOtherLimits', { smallestM2: limits.smallestM2 })
  if (worst === 'level') {
    return fit.includes(1)
      ? say('areas.noneForSize', { tooSmall })
      : say('areas.noneForLevelGround')
  }
  const most = say('areas.mostExcluded', { limit: say(EXCLUSION_WORDS[worst]) })
  return fit.includes(1)
    ? say('areas.noneForSizeAndLimit', { tooSmall, most })
    : say('areas.noneForLimit', { most })
}

/**
 * The lowest of some values within so many cells sideways and up or down: a square rather than a
 * disc, so that the time does not grow with the distance. A distance above nothing reaches the
 * neighbours at least.
 */
function lowestAround(
  cols: number,
  rows: number,
  reachCells: number,
  valueOf: (cell: number) => number,
): Float32Array {
  const values = Float32Array.from({ length: cols * rows }, (_, i) => valueOf(i))
  if (reachCells <= 0) return values
  const reach = Math.max(1, Math.round(reachCells))
  const line = new Float32Array(Math.max(cols, rows))
  const queue = new Int32Array(Math.max(cols, rows))
  const slide = (start: number, stride: number, count: number) => {
    for (let k = 0; k < count; k++) line[k] = values[start + k * stride]
    // Places that may still be the lowest of a window, rising values.
    let [head, tail, next] = [0, 0, 0]
    for (let k = 0; k < count; k++) {
      for (; next < count && next <= k + reach; next++) {
        while (tail > head && line[queue[tail - 1]] >= line[next]) tail--
        queue[tail++] = next
      }
      while (queue[head] < k - reach) head++
      values[start + k * stride] = line[queue[head]]
    }
  }
  for (let row = 0; row < rows; row++) slide(row * cols, 1, cols)
  for (let col = 0; col < cols; col++) slide(col, cols, rows)
  return values
}

/** A wide plain in blocks, so that each has a place, a picture and a way of its own. */
function blocksOf(
  area: Uint32Array,
  cols: number,
  blockCells: number,
  fewest: number,
): Uint32Array[] {
  const blocks = new Map<string, number[]>()
  for (const cell of area) {
    const [x, y] = [cell % cols, Math.floor(cell / cols)]
    const key = `${Math.floor(x / blockCells)},${Math.floor(y / blockCells)}`
    const block = blocks.get(key)
    if (block) block.push(cell)
    else blocks.set(key, [cell])
  }
  // Inside a block the plain may fall apart.
  return [...blocks.values()].flatMap((block) =>
    patchesOf(Uint32Array.from(block), cols).filter((patch) => patch.length >= fewest),
  )
}

/** The connected patches of some cells. */
function patchesOf(cells: Uint32Array, cols: number): Uint32Array[] {
  const left = new Set(cells)
  const found: Uint32Array[] = []
  for (const start of cells) {
    if (!left.delete(start)) continue
    const patch = [start]
    for (const cell of patch) {
      const col = cell % cols
      const sides = [
        ...(col > 0 ? [cell - 1] : []),
        ...(col < cols - 1 ? [cell + 1] : []),
        cell - cols,
        cell + cols,
      ]
      for (const side of sides) if (left.delete(side)) patch.push(side)
    }
    found.push(Uint32Array.from(patch))
  }
  return found
}

/** Cells of each connected patch, by their four sides. */
function connected(fit: Uint8Array, cols: number, rows: number): Uint32Array[] {
  const seen = new Uint8Array(fit.length)
  const queue = new Uint32Array(fit.length)
  const found: Uint32Array[] = []
  for (let start = 0; start < fit.length; start++) {
    if (!fit[start] || seen[start]) continue
    let [head, tail] = [0, 0]
    queue[tail++] = start
    seen[start] = 1
    while (head < tail) {
      const cell = queue[head++]
      const col = cell % cols
      const visit = (next: number) => {
        if (!fit[next] || seen[next]) return
        seen[next] = 1
        queue[tail++] = next
      }
      if (col > 0) visit(cell - 1)
      if (col < cols - 1) visit(cell + 1)
      if (cell >= cols) visit(cell - cols)
      if (cell < cols * (rows - 1)) visit(cell + cols)
    }
    found.push(queue.slice(0, tail))
  }
  return found
}

/** What is to be known of an area. */
export function describeArea(
  cells: Uint32Array,
  { heights, cols }: Ground,
  slopeDeg: Float32Array,
  cellM: number,
): GroundArea {
  let [slope, height] = [0, 0]
  for (const cell of cells) {
    slope += slopeDeg[cell]
    height += heights[cell]
  }
  const isIn = membership(cells, cols)
  const run = longestRun(cells, isIn, cols)
  return {
    cells,
    middle: roomiest(cells, isIn, cols),
    sizeM2: cells.length * cellM * cellM,
    runM: run.cells * cellM,
    runDeg: run.deg,
    meanSlopeDeg: slope / cells.length,
    meanHeightM: height / cells.length,
  }
}

type IsIn = (x: number, y: number) => boolean

/** Which places of the grid are cells of an area. */
function membership(cells: Uint32Array, cols: number): IsIn {
  const { west, north, east, south } = cellBounds(cells, cols)
  const width = east - west + 1
  const mask = new Uint8Array(width * (south - north + 1))
  for (const cell of cells) {
    mask[(Math.floor(cell / cols) - north) * width + (cell % cols) - west] = 1
  }
  return (x, y) =>
    x >= west && x <= east && y >= north && y <= south && mask[(y - north) * width + x - west] === 1
}

/** The cell farthest from the border of its area, by rings peeled off; the middle of the last. */
function roomiest(cells: Uint32Array, isIn: IsIn, cols: number): number {
  const [middleX, middleY] = [0, 1].map((axis) => {
    const sum = cells.reduce(
      (total, cell) => total + (axis === 0 ? cell % cols : Math.floor(cell / cols)),
      0,
    )
    return sum / cells.length
  })
  const peeled = new Set<number>()
  const isLeft = (x: number, y: number) => isIn(x, y) && !peeled.has(y * cols + x)
  let left = [...cells]
  let last = left
  while (left.length > 0) {
    last = left
    const ring = left.filter((cell) => {
      const [x, y] = [cell % cols, Math.floor(cell / cols)]
      return !(isLeft(x - 1, y) && isLeft(x + 1, y) && isLeft(x, y - 1) && isLeft(x, y + 1))
    })
    for (const cell of ring) peeled.add(cell)
    left = left.filter((cell) => !peeled.has(cell))
  }
  const away = (cell: number) =>
    ((cell % cols) - middleX) ** 2 + (Math.floor(cell / cols) - middleY) ** 2
  return last.reduce((best, cell) => (away(cell) < away(best) ? cell : best), last[0])
}

/** The longest straight line inside an area, cells, and its direction. */
function longestRun(cells: Uint32Array, isIn: IsIn, cols: number): { cells: number; deg: number } {
  let best = { cells: 1, deg: 0 }
  for (let k = 0; k < RUN_DIRECTIONS; k++) {
    const deg = (k * 180) / RUN_DIRECTIONS
    const [dx, dy] = [Math.sin((deg * Math.PI) / 180), -Math.cos((deg * Math.PI) / 180)]
    for (const cell of cells) {
      const [x, y] = [cell % cols, Math.floor(cell / cols)]
      // A run begins where the cell before it is outside.
      if (isIn(Math.round(x - dx), Math.round(y - dy))) continue
      let length = 1
      while (isIn(Math.round(x + dx * length), Math.round(y + dy * length))) length++
      if (length > best.cells) best = { cells: length, deg }
    }
  }
  return best
}
