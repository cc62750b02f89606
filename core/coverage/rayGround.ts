import { EARTH_RADIUS_M } from '../geodesy/earth'
import { bilinear } from '../terrain/grid'
import type { Fan, SweepGround, SweepSettings } from './fan'

/** The ground under a ray at any distance, as a path profile meets it. */
export class RayGround {
  /** Cells that the ray goes for each cell along the main axis of its fan. */
  readonly stretch: number
  private readonly colStep: number
  private readonly rowStep: number
  private readonly curvature: number

  constructor(
    private readonly ground: SweepGround,
    private readonly settings: SweepSettings,
    { isColMain, direction }: Fan,
    slope: number,
  ) {
    this.stretch = Math.hypot(1, slope)
    const [mainStep, crossStep] = [direction / this.stretch, slope / this.stretch]
    this.colStep = isColMain ? mainStep : crossStep
    this.rowStep = isColMain ? crossStep : mainStep
    this.curvature = 1 / (2 * settings.kFactor * EARTH_RADIUS_M)
  }

  /** Its height so many cells from the launch point, above sea level in metres. */
  heightM(cells: number): number {
    const { bare, covered, cols, rows } = this.ground
    const { col, row, clearingCells } = this.settings
    const seen = cells <= clearingCells ? bare : covered
    return bilinear(seen, cols, rows, col + this.colStep * cells, row + this.rowStep * cells)
  }

  /** Its height at a distance, over the launch antenna and less the curved Earth's drop, metres. */
  overAntennaM(distanceM: number): number {
    const { groundCellM, antennaAmslM } = this.settings
    const drop = distanceM * distanceM * this.curvature
    return this.heightM(distanceM / groundCellM) - drop - antennaAmslM
  }
}
