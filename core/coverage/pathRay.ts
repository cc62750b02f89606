import { EARTH_RADIUS_M } from '../geodesy/earth'
import { bilinear } from '../terrain/grid'
import type { Fan, SweepGround } from './fan'
import type { PathTask } from './pathField'

/** Numbers that a point of a hull takes. */
export const POINT = 3

/**
 * A ray of a path sweep on its way: the upper hull of what it has met, and the sums of the
 * straight-line fit. The hull begins at the launch antenna's horizon: a receiver in its shadow has
 * nothing nearer to the launch point for its own, and one in sight needs none.
 */
export class PathRay {
  /**
   * Points of the hull, each with its distance, its height over the launch antenna less the curved
   * Earth's drop, and the slope from the point before: nothing is as steep as the first.
   */
  readonly hull: Float64Array
  /** Where the hull ends in there. */
  end = 0
  /** Where on the hull the last receiver's horizon was. */
  touch = 0
  /** The launch antenna's horizon: its slope and where it is. */
  highest = -Infinity
  dHighest = 0
  /** Fine samples taken near the launch point. */
  fine = 0
  v1 = 0
  v2 = 0
  dBefore = 0
  hBefore = 0
  /** Ground at the launch point. */
  startM = 0

  /** @param points most the hull can have */
  constructor(points: number) {
    this.hull = new Float64Array(POINT * points)
  }

  begin({ settings: { col, row } }: PathTask, { bare, cols, rows }: SweepGround): void {
    this.end = this.touch = this.fine = 0
    this.highest = -Infinity
    this.dHighest = this.v1 = this.v2 = this.dBefore = 0
    this.hBefore = this.startM = bilinear(bare, cols, rows, col, row)
  }

  /** Takes in ground farther out than all before. */
  meet(d: number, z: number): void {
    if (z > this.highest * d) {
      this.highest = z / d
      this.dHighest = d
      this.end = 0
    }
    this.end = pushOnHull(this.hull, this.end, d, z)
  }

  /**
   * Begins at a step, between two rays that have come so far: with the ground of its own way wherever
   * the hull of one has a point, and sums between theirs.
   * @param weight of the ray after
   * @param slope its own
   */
  branchOff(
    before: PathRay,
    after: PathRay,
    weight: number,
    { bare, covered, cols, rows }: SweepGround,
    { settings }: PathTask,
    { isColMain, direction, steps }: Fan,
    slope: number,
    step: number,
  ): void {
    const { col, row, antennaAmslM, groundCellM, kFactor, clearingCells } = settings
    const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
    const stretch = Math.hypot(1, slope)
    const [mainStep, crossStep] = [direction / stretch, slope / stretch]
    const [colStep, rowStep] = isColMain ? [mainStep, crossStep] : [crossStep, mainStep]
    this.end = 0
    this.highest = -Infinity
    this.dHighest = 0
    for (let point = 0; point < before.end; point += POINT) {
      const d = before.hull[point]
      const cells = d / groundCellM
      const seen = cells <= clearingCells ? bare : covered
      const height = bilinear(seen, cols, rows, col + colStep * cells, row + rowStep * cells)
      this.meet(d, height - d * d * curvature - antennaAmslM)
    }
    this.touch = this.end - POINT
    this.startM = before.startM
    this.v1 = before.v1 + (after.v1 - before.v1) * weight
    this.v2 = before.v2 + (after.v2 - before.v2) * weight
    const last = steps[step - 1] * stretch
    const seen = last <= clearingCells ? bare : covered
    this.dBefore = last * groundCellM
    this.hBefore = bilinear(seen, cols, rows, col + colStep * last, row + rowStep * last)
  }
}

/**
 * Puts a point farther out on an upper hull and takes off what then lies under it.
 * @returns where the hull ends now
 */
export function pushOnHull(hull: Float64Array, end: number, d: number, z: number): number {
  if (end === 0) {
    hull[0] = d
    hull[1] = z
    hull[2] = Infinity
    return POINT
  }
  let last = end - POINT
  while (z - hull[last + 1] >= hull[last + 2] * (d - hull[last])) last -= POINT
  hull[last + 3] = d
  hull[last + 4] = z
  hull[last + 5] = (z - hull[last + 1]) / (d - hull[last])
  return last + 2 * POINT
}
