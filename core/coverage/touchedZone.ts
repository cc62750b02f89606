import { EARTH_RADIUS_M } from '../geodesy/earth'
import { bullingtonLossDb, knifeEdgeLossDb } from '../propagation/diffraction'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { bilinear } from '../terrain/grid'
import type { SweepGround } from './fan'
import type { PathField, PathTask } from './pathField'

/**
 * Metres that ground rises on a metre at the most (63 degrees), where a way is looked along for the
 * zone: own choice, judged by test/reference/diffractionField.test.ts.
 */
const STEEPEST_RISE = 2

/**
 * Adds what the ground in the Fresnel zone takes to the losses of cells in sight: between the worst
 * place of a ray's way and that of a cell's own straight way lie whole decibels, so each of these
 * few cells looks along its own.
 */
export function addTouchedZones(
  ground: SweepGround,
  task: PathTask,
  cells: readonly number[],
  { lossDb }: PathField,
): void {
  const { cols, heights } = ground
  const { settings, heightM } = task
  for (const i of cells) {
    const [toCol, toRow] = [i % cols, Math.floor(i / cols)]
    const d = Math.hypot(toCol - settings.col, toRow - settings.row) * settings.groundCellM
    const direct = (heights[i] + heightM - settings.antennaAmslM) / d
    const nu = worstNu(ground, task, toCol, toRow, d, direct)
    lossDb[i] += bullingtonLossDb(knifeEdgeLossDb(nu), d)
  }
}

/**
 * The largest nu on the straight way to a receiver in sight, from the samples of its profile. Where
 * the ground lies far under the zone, those that it cannot rise to it by are left out.
 */
function worstNu(
  { bare, covered, cols, rows }: SweepGround,
  { settings }: PathTask,
  toCol: number,
  toRow: number,
  distanceM: number,
  direct: number,
): number {
  const { col, row, groundCellM, antennaAmslM, kFactor, wavelengthM, clearingCells } = settings
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const lengthCells = distanceM / groundCellM
  const colStep = (toCol - col) / lengthCells
  const rowStep = (toRow - row) / lengthCells
  const widestM = Math.sqrt(wavelengthM * distanceM) / 2
  const samplesAMetre = 1 / (STEEPEST_RISE * groundCellM * SAMPLE_STEP_CELLS)
  const last = Math.floor((lengthCells - OWN_GROUND_CELLS) / SAMPLE_STEP_CELLS)
  // Squares with the sign of the height over the line, so that one root is enough.
  let worst = -Infinity
  for (let sample = 1; sample <= last;) {
    const cells = sample * SAMPLE_STEP_CELLS
    const seen = cells <= clearingCells ? bare : covered
    const height = bilinear(seen, cols, rows, col + colStep * cells, row + rowStep * cells)
    const d1 = cells * groundCellM
    const d2 = distanceM - d1
    const above = height + d1 * d2 * curvature - antennaAmslM - direct * d1
    const square = (above * Math.abs(above)) / (d1 * d2)
    if (square > worst) worst = square
    sample += Math.max(1, ((-above - widestM) * samplesAMetre) | 0)
  }
  if (worst === -Infinity) return worst
  return Math.sign(worst) * Math.sqrt((Math.abs(worst) * 2 * distanceM) / wavelengthM)
}
