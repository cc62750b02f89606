import { PilotError } from '../errors'
import { say } from '../words/say'
import { windowCols, type Target, type Window } from './heat'

/** What a place to stand must be like. */
export interface StandLimits {
  readonly steepestDeg: number
  /** Longest way on foot from the road head, seconds; null for no limit. */
  readonly longestWalkS: number | null
}

export const USUAL_STAND: StandLimits = { steepestDeg: 20, longestWalkS: null }
export const STAND_RANGES = { steepestDeg: [1, 60], longestWalkS: [60, 86_400] } as const

/** Cells one can stand on, 1 for yes, and the part of the grid they lie in. */
export interface Candidates {
  readonly mask: Uint8Array
  readonly window: Window
  readonly count: number
}

/**
 * Ground to stand on: inside the area drawn, not too steep, not level as water, and near enough.
 * @param inside 1 for cells of the area drawn; null for everywhere
 * @param walkS seconds on foot, where a way is asked for
 * Throws a PilotError that says which limit excludes most, where none is left.
 */
export function findCandidates(
  heights: Float32Array,
  cols: number,
  slopeDeg: Float32Array,
  level: Uint8Array,
  inside: Uint8Array | null,
  walkS: Float32Array | null,
  { steepestDeg, longestWalkS }: StandLimits,
): Candidates {
  const mask = new Uint8Array(heights.length)
  const excluded = { slope: 0, water: 0, walk: 0 }
  let window = { west: cols, north: Infinity, east: -1, south: -1 }
  let count = 0
  for (let i = 0; i < heights.length; i++) {
    if (Number.isNaN(heights[i]) || (inside && !inside[i])) continue
    const isSteep = !(slopeDeg[i] <= steepestDeg)
    const isFar = walkS !== null && longestWalkS !== null && !(walkS[i] <= longestWalkS)
    if (isSteep) excluded.slope++
    if (level[i]) excluded.water++
    if (isFar) excluded.walk++
    if (isSteep || level[i] || isFar) continue
    mask[i] = 1
    count++
    const [x, y] = [i % cols, Math.floor(i / cols)]
    window = {
      west: Math.min(window.west, x),
      east: Math.max(window.east, x),
      north: Math.min(window.north, y),
      south: Math.max(window.south, y),
    }
  }
  if (count > 0) return { mask, window, count }
  const words = {
    slope: say('common.steepestSlopeAllowed'),
    water: say('spots.levelGroundWhichMay'),
    walk: say('spots.longestWayFoot'),
  }
  const kinds: (keyof typeof excluded)[] = ['slope', 'water', 'walk']
  const [worst] = kinds.sort((a, b) => excluded[b] - excluded[a])
  throw new PilotError(
    excluded[worst] === 0
      ? say('spots.thereNoGroundStand')
      : say('spots.thereNowhereStandLeft', { words: words[worst] }),
  )
}

/** A spot that does well. */
export interface Spot {
  readonly cell: number
  /** Weight of the targets it has, share of all of them. */
  readonly share: number
}

/**
 * The best spots, each so far from those before it that it is another place.
 * @param scores weights by cell of the window
 * @param walkS seconds on foot by cell: of equals the nearer is taken; null for none
 */
export function bestSpots(
  scores: Float32Array,
  { mask, window }: Candidates,
  walkS: Float32Array | null,
  cols: number,
  totalWeight: number,
  spacingCells: number,
  most: number,
): Spot[] {
  const width = windowCols(window)
  const cellOf = (i: number) =>
    (window.north + Math.floor(i / width)) * cols + window.west + (i % width)
  const nearer = (a: number, b: number) => (walkS ? walkS[cellOf(a)] - walkS[cellOf(b)] || 0 : 0)
  const order = Array.from(scores.keys())
    .filter((i) => mask[cellOf(i)] === 1 && scores[i] > 0)
    .sort((a, b) => scores[b] - scores[a] || nearer(a, b) || a - b)
  const spots: Spot[] = []
  for (const i of order) {
    if (spots.length === most) break
    const cell = cellOf(i)
    const [x, y] = [cell % cols, Math.floor(cell / cols)]
    const isNew = spots.every(({ cell: other }) => {
      const [ox, oy] = [other % cols, Math.floor(other / cols)]
      return Math.hypot(ox - x, oy - y) >= spacingCells
    })
    if (isNew) spots.push({ cell, share: scores[i] / totalWeight })
  }
  return spots
}

/** The pair of spots that together have most weight of targets; null with fewer than two. */
export function bestPair(
  hits: readonly Uint8Array[],
  weights: readonly number[],
): { first: number; second: number; share: number } | null {
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  let best: { first: number; second: number; share: number } | null = null
  for (let first = 0; first < hits.length; first++) {
    for (let second = first + 1; second < hits.length; second++) {
      let weight = 0
      for (let k = 0; k < weights.length; k++) {
        if (hits[first][k] || hits[second][k]) weight += weights[k]
      }
      const share = weight / total
      if (!best || share > best.share + 1e-9) best = { first, second, share }
    }
  }
  return best
}

/**
 * Longest stretch of a route between targets that are had, or from its ends, metres; null without
 * targets along a route.
 */
export function longestGapM(targets: readonly Target[], hits: Uint8Array): number | null {
  let [longest, from] = [0, NaN]
  let isOpen = false
  let last = NaN
  targets.forEach(({ flownM }, i) => {
    if (flownM === undefined) return
    if (Number.isNaN(from)) from = flownM
    if (hits[i]) {
      if (isOpen) longest = Math.max(longest, flownM - from)
      isOpen = false
      from = flownM
    } else isOpen = true
    last = flownM
  })
  if (Number.isNaN(last)) return null
  return isOpen ? Math.max(longest, last - from) : longest
}
