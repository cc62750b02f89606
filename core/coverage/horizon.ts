import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { EARTH_RADIUS_M } from '../geodesy/earth'
import { bilinear } from '../terrain/grid'
import type { SweepGround, SweepSettings } from './fan'

/**
 * The horizon seen by the launch antenna, one entry an azimuth, evenly from true north clockwise.
 * Terrain that is missing hides nothing here.
 */
export interface Horizon {
  /** Elevation angle of the skyline, degrees above the level, as refraction lets it appear. */
  readonly elevationDeg: Float32Array
  /** Ground distance to what makes it, metres; NaN where there is no ground that way. */
  readonly distanceM: Float32Array
  /** The cell it is on, -1 for none. */
  readonly cells: Int32Array
}

/** Beyond this a ray takes longer strides: a cell then spans a small angle. */
const FINE_CELLS = 96
const COARSE_STRIDE = 2

/**
 * Looks around from the launch antenna to the border of the grid.
 * @param northRad grid bearing of true north at the launch point
 * @param azimuths how many directions
 */
export function horizonFrom(
  ground: SweepGround,
  settings: SweepSettings,
  northRad: number,
  azimuths = 360,
): Horizon {
  const { cols, rows, bare, covered } = ground
  const { col, row, antennaAmslM, groundCellM, kFactor, clearingCells } = settings
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const elevationDeg = new Float32Array(azimuths)
  const distanceM = new Float32Array(azimuths)
  const cellsOfSkyline = new Int32Array(azimuths)
  for (let i = 0; i < azimuths; i++) {
    const bearing = northRad + (2 * Math.PI * i) / azimuths
    const [east, south] = [Math.sin(bearing), -Math.cos(bearing)]
    const reach = Math.min(cellsToBorder(col, east, cols), cellsToBorder(row, south, rows))
    let [steepest, at] = [-Infinity, NaN]
    let cells = OWN_GROUND_CELLS
    while (cells <= reach) {
      const seen = cells <= clearingCells ? bare : covered
      const height = bilinear(seen, cols, rows, col + east * cells, row + south * cells)
      const distance = cells * groundCellM
      const slope = (height - antennaAmslM) / distance - distance * curvature
      if (slope > steepest) [steepest, at] = [slope, distance]
      cells += cells < FINE_CELLS ? SAMPLE_STEP_CELLS : SAMPLE_STEP_CELLS * COARSE_STRIDE
    }
    elevationDeg[i] = (Math.atan(steepest) * 180) / Math.PI
    distanceM[i] = at
    const away = at / groundCellM
    cellsOfSkyline[i] = Number.isNaN(at)
      ? -1
      : Math.round(row + south * away) * cols + Math.round(col + east * away)
  }
  return { elevationDeg, distanceM, cells: cellsOfSkyline }
}

/** How far a ray can go along one axis before it leaves the outermost cell centres. */
function cellsToBorder(from: number, perCell: number, count: number): number {
  if (perCell === 0) return Infinity
  return (perCell > 0 ? count - 1 - from : -from) / perCell
}
