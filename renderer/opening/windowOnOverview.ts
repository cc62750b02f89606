import { EARTH_RADIUS_M, type LatLon } from '../../core/geodesy/earth'
import { GridLocator, type GridFrame } from '../../core/terrain/grid'
import type { SiteWindow } from '../../core/terrain/siteFrame'

/** A rectangle in shares of the overview's width and height. */
export interface Box {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly height: number
}

/** A window is no narrower and no wider than this, metres. */
export const LEAST_WINDOW_M = 500
export const MOST_WINDOW_M = 1_000_000
/** Metres in a degree of latitude. */
const PER_DEGREE_M = (EARTH_RADIUS_M * Math.PI) / 180

/** Where a window lies on the overview. */
export function boxOf(frame: GridFrame, window: SiteWindow): Box {
  const locator = new GridLocator(frame)
  const { centre, eastWestM, northSouthM } = window
  const halfLat = northSouthM / 2 / PER_DEGREE_M
  const halfLon = eastWestM / 2 / (PER_DEGREE_M * Math.cos((centre.latDeg * Math.PI) / 180))
  const middle = locator.toGrid(centre)
  const north = locator.toGrid({ ...centre, latDeg: centre.latDeg + halfLat })
  const east = locator.toGrid({ ...centre, lonDeg: centre.lonDeg + halfLon })
  const [halfCols, halfRows] = [east.col - middle.col, middle.row - north.row]
  return {
    left: (middle.col + 0.5 - halfCols) / frame.cols,
    top: (middle.row + 0.5 - halfRows) / frame.rows,
    width: (2 * halfCols) / frame.cols,
    height: (2 * halfRows) / frame.rows,
  }
}

/** Place of a point on the overview, in shares of its width and height, and back. */
export function shareOf(frame: GridFrame, at: LatLon): { x: number; y: number } {
  const { col, row } = new GridLocator(frame).toGrid(at)
  return { x: (col + 0.5) / frame.cols, y: (row + 0.5) / frame.rows }
}

export function placeAt(frame: GridFrame, x: number, y: number): LatLon {
  return new GridLocator(frame).toLatLon({
    col: x * frame.cols - 0.5,
    row: y * frame.rows - 0.5,
  })
}

/** A window with the same middle whose corner lies at a place of the overview. */
export function windowWithCorner(
  frame: GridFrame,
  { centre }: SiteWindow,
  x: number,
  y: number,
): SiteWindow {
  const corner = placeAt(frame, x, y)
  const metres = (degrees: number) => Math.abs(degrees) * 2 * PER_DEGREE_M
  const across = metres(corner.lonDeg - centre.lonDeg) * Math.cos((centre.latDeg * Math.PI) / 180)
  return {
    centre,
    eastWestM: Math.max(LEAST_WINDOW_M, across),
    northSouthM: Math.max(LEAST_WINDOW_M, metres(corner.latDeg - centre.latDeg)),
  }
}

/** The same window elsewhere, its middle kept on the overview. */
export function movedBy(
  frame: GridFrame,
  window: SiteWindow,
  eastShare: number,
  southShare: number,
): SiteWindow {
  const { x, y } = shareOf(frame, window.centre)
  const held = (share: number) => Math.min(1, Math.max(0, share))
  return { ...window, centre: placeAt(frame, held(x + eastShare), held(y + southShare)) }
}
