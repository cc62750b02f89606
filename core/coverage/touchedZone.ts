import { EARTH_RADIUS_M } from '../geodesy/earth'
import { bullingtonLossDb, knifeEdgeLossDb, LEAST_NU } from '../propagation/diffraction'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { bilinear } from '../terrain/grid'
import type { SweepGround } from './fan'
import type { PathField, PathTask } from './pathField'

/**
 * Metres that ground rises on a metre at the most (45 degrees), where a way is looked along for the
 * zone: own choice, judged by test/reference/diffractionField.test.ts.
 */
const STEEPEST_RISE = 1

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
 * The largest nu over LEAST_NU on the straight way to a receiver in sight, from the samples of its
 * profile. Where the ground lies too low to matter, those that it cannot rise by are left out.
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
  const samplesAMetre = 1 / (STEEPEST_RISE * groundCellM * SAMPLE_STEP_CELLS)
  const last = Math.floor((lengthCells - OWN_GROUND_CELLS) / SAMPLE_STEP_CELLS)
  // Nu is the height over the line, by the root of the product of both ways, times this.
  const nuFactor = Math.sqrt((2 * distanceM) / wavelengthM)
  let worst = LEAST_NU / nuFactor
  for (let sample = 1; sample <= last;) {
    const cells = sample * SAMPLE_STEP_CELLS
    const seen = cells <= clearingCells ? bare : covered
    const height = bilinear(seen, cols, rows, col + colStep * cells, row + rowStep * cells)
    const d1 = cells * groundCellM
    const product = d1 * (distanceM - d1)
    const above = height + product * curvature - antennaAmslM - direct * d1
    const root = Math.sqrt(product)
    if (above > worst * root) worst = above / root
    sample += Math.max(1, ((worst * root - above) * samplesAMetre) | 0)
  }
  return worst * nuFactor
}
