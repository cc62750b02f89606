import { EARTH_RADIUS_M } from '../../core/geodesy/earth'
import type { SweepGround, SweepSettings } from '../../core/coverage/fan'
import { bilinear } from '../../core/terrain/grid'

/**
 * Clear heights of one cell, slow and obviously right: the straight grid line from the launch
 * point to the cell centre, sampled every quarter of a cell, bilinear, without the last half
 * cell, and the plain maximum over all samples, never below what stands on the cell itself.
 * Missing data on the way leaves no answer.
 */
export function exactClearHeights(
  ground: SweepGround,
  settings: SweepSettings,
  col: number,
  row: number,
): { sightM: number; fresnelM: number } {
  const { heights, bare, covered, cols, rows } = ground
  const { antennaAmslM, groundCellM, kFactor, wavelengthM, fresnelFraction } = settings
  const lengthCells = Math.hypot(col - settings.col, row - settings.row)
  const distance = lengthCells * groundCellM
  let sight = -Infinity
  let fresnel = -Infinity
  for (let sample = 1; sample * 0.25 <= lengthCells - 0.5; sample++) {
    const t = (sample * 0.25) / lengthCells
    const x = settings.col + (col - settings.col) * t
    const y = settings.row + (row - settings.row) * t
    const d = t * distance
    const seen = sample * 0.25 <= settings.clearingCells ? bare : covered
    const height = bilinear(seen, cols, rows, x, y)
    if (Number.isNaN(height)) return { sightM: NaN, fresnelM: NaN }
    const drop = (d * d) / (2 * kFactor * EARTH_RADIUS_M)
    const slope = (height - drop - antennaAmslM) / d
    const radius = Math.sqrt((wavelengthM * d * (distance - d)) / distance)
    sight = Math.max(sight, slope)
    fresnel = Math.max(fresnel, slope + (fresnelFraction * radius) / d)
  }
  const drop = (distance * distance) / (2 * kFactor * EARTH_RADIUS_M)
  const cell = row * cols + col
  const base = antennaAmslM + drop - heights[cell]
  const own = lengthCells <= settings.clearingCells ? bare[cell] : covered[cell]
  const least = own - heights[cell]
  return {
    sightM: Math.max(least, base + distance * sight),
    fresnelM: Math.max(least, base + distance * fresnel),
  }
}

/** How far a pair of fields is from the exact reference, over random cells. */
export interface Disagreement {
  readonly cells: number
  /** Share of cells on the wrong side of the threshold, by flying height, percent. */
  readonly sightPercent: Readonly<Record<number, number>>
  readonly fresnelPercent: Readonly<Record<number, number>>
  /** Mean absolute difference of the clear heights, metres. */
  readonly sightMeanM: number
  readonly fresnelMeanM: number
}

export function judge(
  ground: SweepGround,
  settings: SweepSettings,
  fields: { sightM: Float32Array; fresnelM: Float32Array },
  { cells = 20_000, heightsM = [30, 60, 120], seed = 1 } = {},
): Disagreement {
  const random = seededRandom(seed)
  const wrongSight = heightsM.map(() => 0)
  const wrongFresnel = heightsM.map(() => 0)
  let [judged, sightSum, fresnelSum] = [0, 0, 0]
  while (judged < cells) {
    const col = Math.floor(random() * ground.cols)
    const row = Math.floor(random() * ground.rows)
    const i = row * ground.cols + col
    if (Number.isNaN(ground.heights[i])) continue
    const exact = exactClearHeights(ground, settings, col, row)
    const [sight, fresnel] = [Math.max(0, fields.sightM[i]), Math.max(0, fields.fresnelM[i])]
    judged++
    sightSum += Math.abs(sight - exact.sightM)
    fresnelSum += Math.abs(fresnel - exact.fresnelM)
    heightsM.forEach((height, h) => {
      if (sight <= height !== exact.sightM <= height) wrongSight[h]++
      if (fresnel <= height !== exact.fresnelM <= height) wrongFresnel[h]++
    })
  }
  const percent = (counts: number[]) =>
    Object.fromEntries(heightsM.map((height, h) => [height, (100 * counts[h]) / judged]))
  return {
    cells: judged,
    sightPercent: percent(wrongSight),
    fresnelPercent: percent(wrongFresnel),
    sightMeanM: sightSum / judged,
    fresnelMeanM: fresnelSum / judged,
  }
}

/** Repeatable random numbers from 0 to 1 (the mulberry32 generator). */
export function seededRandom(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = Math.imul(state ^ (state >>> 15), state | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}
