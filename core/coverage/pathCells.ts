import { EARTH_RADIUS_M } from '../geodesy/earth'
import { fastDecibels } from '../propagation/decibels'
import { tabulatedEdgeLossDb } from '../propagation/diffraction'
import { freeSpaceLossDb } from '../propagation/freeSpace'
import { cellsOf, type Fan, type SweepGround } from './fan'
import { elevationIndex, NEAREST_CELLS, type PathField, type PathRequest } from './pathField'
import type { PathBatch } from './pathRays'
import { BESIDE_THE_CELL } from './radialSweep'

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
  fan: Fan,
  first: number,
  count: number,
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

  for (let n = 0; n < end; n++) {
    const step = steps[n]
    const inverse = inverses[n]
    const { from, to } = cellsOf(fan, n, first, count)
    let i = (fan.firstOffset + n * offsetStep + from * crossStride) | 0
    for (let cell = from; cell <= to; cell++, i = (i + crossStride) | 0) {
      const sight = sightM[i]
      if (Number.isNaN(sight)) continue
      const side = cell - crossOrigin
      const place = (side * inverse - firstSlope) * perSlopeStep
      const rayBefore = place | 0
      const ray = rayBefore - first
      // At the border of the batch a cell may belong to its neighbour.
      if (ray < 0 || ray + 1 >= count) continue
      if (n >= allUpTo && (n >= stepCounts[ray] || n >= stepCounts[ray + 1])) continue
      const weight = place - rayBefore
      const before = ray * stride + n
      const after = before + stride
      const squaredCells = step * step + side * side
      const d = Math.sqrt(squaredCells) * groundCellM
      const perD = 1 / d
      const rise = heights[i] + receiverM
      const z = rise - d * d * curvature
      let loss = isSmoothFelt ? smoothDb[before] + (smoothDb[after] - smoothDb[before]) * weight : 0
      if (sight > heightM) {
        // Angles of the two horizons over the direct line.
        const fromAngle = (sight - heightM) * perD
        const lift = lifts[before] + (lifts[after] - lifts[before]) * weight
        const lever = levers[before] + (levers[after] - levers[before]) * weight
        let toAngle = (lift - z * lever) * perD
        // The deciding ground, which another ray may have met, is in the way at least.
        const least = fromAngle * WAYS[edge[i]]
        if (!(toAngle >= least)) toAngle = least
        loss += tabulatedEdgeLossDb(perWavelength * d * fromAngle * toAngle, d)
      } else if (fresnelM[i] > heightM) {
        touched.push(i)
      }
      const away = squaredCells < NEAREST ? NEAREST : squaredCells
      const squaredSlant = away * squaredCellM + rise * rise
      lossDb[i] = loss + lossOfMetre + fastDecibels(squaredSlant)
      directions[i] = azimuths[weight < 0.5 ? ray : ray + 1] + elevationIndex(z * perD)
    }
  }
  return touched
}
