import { say } from '../words/say'
import { PilotError } from '../errors'

/** Who walks, and over what. */
export interface WalkSettings {
  /** Share of the speed on a path that is left beside it. */
  readonly offPathFactor: number
  /** Steeper ground is not walked, degrees. */
  readonly steepestDeg: number
}

export const USUAL_WALK: WalkSettings = { offPathFactor: 0.6, steepestDeg: 35 }

export const WALK_RANGES = { offPathFactor: [0.1, 1], steepestDeg: [5, 60] } as const

const KMH_TO_MS = 1 / 3.6

/**
 * Walking speed by the gradient in the direction of walking (rise over run), m/s.
 * Source: W. Tobler, Three presentations on geographical analysis and modeling, NCGIA report 93-1
 * (1993): 6 km/h exp(-3.5 |gradient + 0.05|), three fifths of it off paths.
 */
export function toblerMs(gradient: number): number {
  return 6 * KMH_TO_MS * Math.exp(-3.5 * Math.abs(gradient + 0.05))
}

/** Least times on foot from one cell to all others. */
export interface WalkField {
  /** Seconds; Infinity where nobody gets, NaN without data. */
  readonly timeS: Float32Array
  /** Index in MOVES of the last move that leads to each cell; 255 for none. */
  readonly lastMove: Uint8Array
}

/**
 * Moves to the 8 neighbours and the 8 cells a knight's move away: on a plane times are 1 % too
 * long in the mean and 4.5 % at most.
 */
const MOVES: readonly (readonly [dx: number, dy: number])[] = [
  [1, 0],
  [-1, 0],
  [0, 1],
  [0, -1],
  [1, 1],
  [-1, 1],
  [1, -1],
  [-1, -1],
  [2, 1],
  [-2, 1],
  [2, -1],
  [-2, -1],
  [1, 2],
  [-1, 2],
  [1, -2],
  [-1, -2],
]
const NO_MOVE = 255
/** Steps of the table of paces a unit of gradient, and the steepest gradient in it. */
const TABLE_STEPS = 512
const TABLE_GRADIENT = 2

/**
 * Least times on foot from a cell over the terrain (see unwalkable), by Dijkstra's algorithm with buckets of the
 * shortest move's time: within a bucket no cell can shorten another.
 * @param forbidden 1 for cells nobody walks over, such as water; null for none
 * @param cellM true ground length of a cell edge
 * @param onProgress told the share of cells reached now and then; throw in it to stop
 */
export function walkFrom(
  heights: Float32Array,
  cols: number,
  rows: number,
  start: number,
  forbidden: Uint8Array | null,
  cellM: number,
  { offPathFactor, steepestDeg }: WalkSettings,
  onProgress?: (share: number) => void,
): WalkField {
  const timeS = new Float32Array(heights.length).fill(Infinity)
  const lastMove = new Uint8Array(heights.length).fill(NO_MOVE)
  const done = new Uint8Array(heights.length)
  const steepest = Math.tan((steepestDeg * Math.PI) / 180)
  const paces = Float64Array.from(
    { length: 2 * TABLE_GRADIENT * TABLE_STEPS + 2 },
    (_, i) => 1 / (toblerMs(i / TABLE_STEPS - TABLE_GRADIENT) * offPathFactor),
  )
  /** Seconds a metre; Infinity where it is too steep. */
  const pace = (gradient: number) => {
    if (!(Math.abs(gradient) <= steepest)) return Infinity
    const place = (gradient + TABLE_GRADIENT) * TABLE_STEPS
    const i = place | 0
    return paces[i] + (paces[i + 1] - paces[i]) * (place - i)
  }
  for (let i = 0; i < heights.length; i++) {
    if (Number.isNaN(heights[i])) timeS[i] = NaN
    if (Number.isNaN(heights[i]) || forbidden?.[i]) done[i] = 1
  }
  const width = cellM / (toblerMs(-0.05) * offPathFactor)
  const buckets: number[][] = [[start]]
  timeS[start] = 0
  done[start] = 0
  let reached = 0
  for (let b = 0; b < buckets.length; b++) {
    const bucket = buckets[b]
    if (!bucket) continue
    for (const cell of bucket) {
      if (done[cell]) continue
      done[cell] = 1
      if (++reached % 65536 === 0) onProgress?.(reached / heights.length)
      const [x, y] = [cell % cols, (cell / cols) | 0]
      const from = heights[cell]
      const now = timeS[cell]
      for (let m = 0; m < MOVES.length; m++) {
        const [dx, dy] = MOVES[m]
        const [nx, ny] = [x + dx, y + dy]
        if (nx < 0 || ny < 0 || nx >= cols || ny >= rows) continue
        const next = ny * cols + nx
        if (done[next]) continue
        const rise = heights[next] - from
        let seconds: number
        if (m < 4) seconds = cellM * pace(rise / cellM)
        else if (m < 8) seconds = cellM * Math.SQRT2 * pace(rise / (cellM * Math.SQRT2))
        else {
          // Half-way it passes between two cells; both must be walkable.
          const [sx, sy] = [Math.abs(dx) === 2 ? dx / 2 : 0, Math.abs(dy) === 2 ? dy / 2 : 0]
          const a = (y + sy) * cols + x + sx
          const c = (y + dy - sy) * cols + x + dx - sx
          if (forbidden && (forbidden[a] || forbidden[c])) continue
          const half = (heights[a] + heights[c]) / 2
          const run = (cellM * Math.sqrt(5)) / 2
          seconds = run * (pace((half - from) / run) + pace((heights[next] - half) / run))
        }
        const time = now + seconds
        if (time < timeS[next]) {
          timeS[next] = time
          lastMove[next] = m
          const into = Math.max(b, Math.floor(timeS[next] / width))
          ;(buckets[into] ??= []).push(next)
        }
      }
    }
    buckets[b] = []
  }
  return { timeS, lastMove }
}

/** Ground nobody walks over: water, and what is too steep whichever way it is crossed. */
export function unwalkable(
  level: Uint8Array,
  slopeDeg: Float32Array,
  { steepestDeg }: WalkSettings,
): Uint8Array {
  return level.map((isLevel, i) => (isLevel || slopeDeg[i] > steepestDeg ? 1 : 0))
}

/** The way on foot to a cell, from the start on; null where nobody gets. */
export function wayTo({ timeS, lastMove }: WalkField, cols: number, cell: number): number[] | null {
  if (!Number.isFinite(timeS[cell])) return null
  const way = [cell]
  let at = cell
  while (lastMove[at] !== NO_MOVE) {
    const [dx, dy] = MOVES[lastMove[at]]
    at -= dy * cols + dx
    way.push(at)
  }
  return way.reverse()
}

/** Length and climb of a way, metres. */
export function measureWay(
  way: readonly number[],
  heights: Float32Array,
  cols: number,
  cellM: number,
): { lengthM: number; climbM: number } {
  let [lengthM, climbM] = [0, 0]
  for (let k = 1; k < way.length; k++) {
    const [a, b] = [way[k - 1], way[k]]
    const dx = (b % cols) - (a % cols)
    const dy = Math.floor(b / cols) - Math.floor(a / cols)
    lengthM += Math.hypot(dx, dy) * cellM
    climbM += Math.max(0, heights[b] - heights[a])
  }
  return { lengthM, climbM }
}

/** Throws a PilotError where nobody can set out from a cell. */
export function checkStart(
  cell: number,
  label: string,
  heights: Float32Array,
  level: Uint8Array,
): void {
  if (cell < 0 || Number.isNaN(heights[cell])) {
    throw new PilotError(say('walk.offTerrainChoosePoint', { label }))
  }
  if (level[cell]) {
    throw new PilotError(say('walk.liesPerfectlyLevelGround', { label }))
  }
}
