import { EARTH_RADIUS_M } from '../geodesy/earth'
import { fastDecibels } from '../propagation/decibels'
import { tabulatedEdgeLossDb } from '../propagation/diffraction'
import { freeSpaceLossDb } from '../propagation/freeSpace'
import { cellsOf, type SweepGround } from './fan'
import { elevationIndex, NEAREST_CELLS, type PathField, type PathRequest } from './pathField'
import type { PathBatch } from './pathRays'
import { BESIDE_THE_CELL } from './radialSweep'
import type { Call } from './stages'

const NEAREST = NEAREST_CELLS * NEAREST_CELLS
/** The way to the deciding ground over the way from it to the receiver, at the least, by edge. */
const WAYS = Float64Array.from({ length: BESIDE_THE_CELL + 1 }, (_, edge) => {
  const way = Math.min(edge, BESIDE_THE_CELL - 1) / BESIDE_THE_CELL
  return way / (1 - way)
})

/**
 * Writes the cells between the rays of a batch, step by step, for one of its links.
 * @param link which one; a cell without an answer in its clear heights gets none
 * @param smoothDb the batch's for this link
 * @returns cells in sight whose Fresnel zone is not free: their losses still lack what it takes
 */
export function writePathCells(
  ground: SweepGround,
  { fields: { sightM, fresnelM, edge }, task: { settings, frequencyMhz, heightM } }: PathRequest,
  { fan, stages, first, count }: Call,
  { stepCounts, azimuths, stride, lifts, levers, isSmoothFelt }: PathBatch,
  smoothDb: Float32Array,
  { lossDb, directions }: PathField,
): number[] {
  const { heights } = ground
  const { antennaAmslM, groundCellM, kFactor, wavelengthM } = settings
  const { crossOrigin, crossStride, steps, inverses, firstSlope } = fan
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const squaredCellM = groundCellM * groundCellM
  const receiverM = heightM - antennaAmslM
  const perWavelength = 2 / wavelengthM
  const lossOfMetre = freeSpaceLossDb(1, frequencyMhz)
  const perSlopeStep = 1 / fan.slopeStep
  const offsetStep = fan.direction * fan.mainStride
  const counts = stepCounts.subarray(0, count)
  const end = counts.reduce((most, steps) => Math.max(most, steps), 0)
  const allUpTo = counts.reduce((least, steps) => Math.min(least, steps), end)
  const touched: number[] = []

  for (const stage of stages) {
    const apart = stage.rays
    const perApart = 1 / apart
    const strideApart = stride * apart
    const stageEnd = Math.min(stage.to, end)
    for (let n = stage.from; n < stageEnd; n++) {
      const step = steps[n]
      const inverse = inverses[n]
      const { from, to } = cellsOf(fan, n, first, count)
      let i = (fan.firstOffset + n * offsetStep + from * crossStride) | 0
      for (let cell = from; cell <= to; cell++, i = (i + crossStride) | 0) {
        const sight = sightM[i]
        if (Number.isNaN(sight)) continue
        const side = cell - crossOrigin
        const place = (side * inverse - firstSlope) * perSlopeStep - first
        // At the border of the batch a cell may belong to its neighbour.
        if (place < 0 || place >= count - 1) continue
        const ray = place & -apart
        if (n >= allUpTo && (n >= stepCounts[ray] || n >= stepCounts[ray + apart])) continue
        const weight = (place - ray) * perApart
        const before = ray * stride + n
        const after = before + strideApart
        const squaredCells = step * step + side * side
        const d = Math.sqrt(squaredCells) * groundCellM
        const perD = 1 / d
        const rise = heights[i] + receiverM
        const z = rise - d * d * curvature
        let loss = isSmoothFelt
          ? smoothDb[before] + (smoothDb[after] - smoothDb[before]) * weight
          : 0
        if (sight > heightM) {
          // The two horizons over the direct line, as heights at the other end.
          const fromM = sight - heightM
          const lift = lifts[before] + (lifts[after] - lifts[before]) * weight
          const lever = levers[before] + (levers[after] - levers[before]) * weight
          let toM = lift - z * lever
          // The deciding ground, which another ray may have met, is in the way at least.
          const least = fromM * WAYS[edge[i]]
          if (!(toM >= least)) toM = least
          loss += tabulatedEdgeLossDb(perWavelength * fromM * toM * perD, d)
        } else if (fresnelM[i] > heightM) {
          touched.push(i)
        }
        const away = squaredCells < NEAREST ? NEAREST : squaredCells
        const squaredSlant = away * squaredCellM + rise * rise
        lossDb[i] = loss + lossOfMetre + fastDecibels(squaredSlant)
        directions[i] = azimuths[(place + 0.5) | 0] + elevationIndex(z * perD)
      }
    }
  }
  return touched
}
