import { bilinear } from '../terrain/grid'
import type { SweepGround } from './fan'
import type { PathTask } from './pathField'
import type { RayGround } from './rayGround'

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
   * Begins between two rays that have come so far: with its own ground wherever the hull of one has
   * a point, and sums between theirs.
   * @param weight of the ray after
   * @param lastCells how far they have come
   */
  branchOff(
    before: PathRay,
    after: PathRay,
    weight: number,
    ground: RayGround,
    lastCells: number,
    groundCellM: number,
  ): void {
    this.end = 0
    this.highest = -Infinity
    this.dHighest = 0
    for (let point = 0; point < before.end; point += POINT) {
      const d = before.hull[point]
      this.meet(d, ground.overAntennaM(d))
    }
    this.touch = this.end - POINT
    this.startM = before.startM
    this.v1 = between(before.v1, after.v1, weight)
    this.v2 = between(before.v2, after.v2, weight)
    this.dBefore = lastCells * groundCellM
    this.hBefore = ground.heightM(lastCells)
  }
}

/** Linear between two numbers; one of them where the other is not known. */
function between(before: number, after: number, weight: number): number {
  if (Number.isNaN(before)) return after
  if (Number.isNaN(after)) return before
  return before + (after - before) * weight
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
