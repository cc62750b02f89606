import { PilotError } from '../errors'
import { isMetric, Projection, siteEpsg, type CrsLookup } from '../geodesy/crs'
import { EARTH_RADIUS_M, type LatLon } from '../geodesy/earth'
import { isAligned, spread, type Lattice } from './lattice'
import type { GridFrame } from './grid'
import { say } from '../words/say'
import type { Sheet } from './sheet'

/** The part of the ground to be worked on, and in which cells. */
export interface SiteWish {
  /** A window around a place; everything there is without one. */
  readonly window?: SiteWindow
  /** Edge of a working cell, metres; the finest there is without one. */
  readonly cellM?: number
}

export interface SiteWindow {
  readonly centre: LatLon
  readonly eastWestM: number
  readonly northSouthM: number
}

/** More cells than this would not fit comfortably in memory as one grid. */
export const MAX_CELLS = 100_000_000
/** A site of fewer cells a side, by a cell that was wished for, shows no terrain. */
const LEAST_CELLS = 10
/** Farther than this from its middle a site would lie outside the projection's good range. */
const MAX_REACH_M = 500_000
/** A projection whose metres differ more than this from those on the ground is not worked in. */
const MAX_STRETCH = 0.01
/** What adds up to less than this share of a cell over a grid is rounding. */
const SLACK_CELLS = 0.01

/**
 * The grid of a site: the finest sheet's own where that is metric, square and true to scale, else
 * in the UTM zone (past 84 N and 80 S polar stereographic) of the site's middle, with square cells
 * of about the same ground area.
 * Throws a PilotError for a window beside the terrain, or a grid too large.
 */
export async function siteFrame(
  sheets: readonly Sheet[],
  { window, cellM: wished }: SiteWish,
  { name, lookUpCrs }: { name: string; lookUpCrs: CrsLookup },
): Promise<GridFrame> {
  const [finest] = sheets
  const own = ownGrid(finest)
  const centre = window?.centre ?? middleOf(sheets)
  const crs = own ? finest.lattice.crs : await lookUpCrs(siteEpsg(centre))
  if (!crs) throw new PilotError(say('siteFrame.liesWhereNoUtm', { name }))
  const cellM = wished ?? own?.stepM ?? roundCellM(finest)
  const projection = new Projection(crs)
  const ground = boundsOf(sheets, projection, own && sheets.length === 1 ? finest.lattice : null)
  const wanted = window ? windowBounds(window, projection) : ground
  const bounds = {
    west: Math.max(wanted.west, ground.west),
    east: Math.min(wanted.east, ground.east),
    south: Math.max(wanted.south, ground.south),
    north: Math.min(wanted.north, ground.north),
  }
  if (!(bounds.east > bounds.west && bounds.north > bounds.south)) {
    throw new PilotError(say('siteFrame.windowLiesBesideTerrain', { name }))
  }
  const half = Math.hypot(bounds.east - bounds.west, bounds.north - bounds.south) / 2
  if (!(half <= MAX_REACH_M)) {
    throw new PilotError(say('siteFrame.coversFarMoreThan', { name }))
  }
  // Cells of a grid of one's own lie on the file's; others on whole multiples of a cell.
  const factor = own ? Math.round(cellM / own.stepM) : 0
  const isOnOwn = own && factor > 0 && Math.abs(cellM / own.stepM / factor - 1) * own.reach < 0.1
  const step = isOnOwn ? factor * own.stepM : cellM
  const origin = own ?? { west: 0, north: 0 }
  const slack = 1e-6
  const westM = origin.west + Math.floor((bounds.west - origin.west) / step + slack) * step
  const northM = origin.north - Math.floor((origin.north - bounds.north) / step + slack) * step
  const cols = Math.max(2, Math.ceil((bounds.east - westM) / step - slack))
  const rows = Math.max(2, Math.ceil((northM - bounds.south) / step - slack))
  if (wished !== undefined && Math.min(cols, rows) < LEAST_CELLS) {
    throw new PilotError(say('siteFrame.cellsMLeaveOnly', { step, cols, rows }))
  }
  if (!(cols * rows <= MAX_CELLS)) {
    throw new PilotError(
      say('siteFrame.makesXCellsM', { name, cols, rows, step, mostMillions: MAX_CELLS / 1e6 }),
    )
  }
  return { cols, rows, cellM: step, westM, northM, crs }
}

/** Step and origin of a sheet whose own grid can be worked on; null otherwise. */
function ownGrid({ lattice, cellM }: Sheet) {
  const { affine, crs, cols, rows } = lattice
  const stepM = Math.abs(affine.xCol)
  const reach = Math.max(cols, rows)
  if (crs.epsg === null || !isMetric(crs) || !isAligned(affine)) return null
  if (Math.abs(stepM / Math.abs(affine.yRow) - 1) * reach >= SLACK_CELLS) return null
  if (cellM.some((edgeM) => !(Math.abs(edgeM / stepM - 1) < MAX_STRETCH))) return null
  const west = affine.xCol > 0 ? affine.x0 : affine.x0 - cols * stepM
  const north = affine.yRow < 0 ? affine.y0 : affine.y0 + rows * stepM
  return { stepM, reach, west, north }
}

/** Edge of a square with the ground area of a sheet's middle cell, to two figures, metres. */
function roundCellM({ cellM: [across, down] }: Sheet): number {
  return Number(Math.sqrt(across * down).toPrecision(2))
}

/** The middle of all sheets, on WGS 84, by the middle of their directions from the Earth's centre. */
export function middleOf(sheets: readonly Sheet[]): LatLon {
  const ends = sheets.flatMap(({ lattice, locator }) =>
    spread(lattice, 2).map(([col, row]) => locator.toLatLon(col, row)),
  )
  const sum = ends.reduce(
    (total, { latDeg, lonDeg }) => {
      const [lat, lon] = [(latDeg * Math.PI) / 180, (lonDeg * Math.PI) / 180]
      const flat = Math.cos(lat)
      return [
        total[0] + flat * Math.cos(lon),
        total[1] + flat * Math.sin(lon),
        total[2] + Math.sin(lat),
      ]
    },
    [0, 0, 0],
  )
  return {
    latDeg: (Math.atan2(sum[2], Math.hypot(sum[0], sum[1])) * 180) / Math.PI,
    lonDeg: (Math.atan2(sum[1], sum[0]) * 180) / Math.PI,
  }
}

interface Bounds {
  readonly west: number
  readonly east: number
  readonly south: number
  readonly north: number
}

function around(points: readonly (readonly [number, number])[]): Bounds {
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const [x, y] of points) {
    if (!Number.isFinite(x + y)) continue
    west = Math.min(west, x)
    east = Math.max(east, x)
    south = Math.min(south, y)
    north = Math.max(north, y)
  }
  return { west, east, south, north }
}

/** What the sheets cover in a projection; exactly, for a sheet in that projection. */
function boundsOf(sheets: readonly Sheet[], projection: Projection, exact: Lattice | null): Bounds {
  if (exact) {
    const { x0, xCol, y0, yRow } = exact.affine
    return around([
      [x0, y0],
      [x0 + exact.cols * xCol, y0 + exact.rows * yRow],
    ])
  }
  return around(
    sheets.flatMap(({ lattice, locator }) =>
      spread(lattice, 32).map(([col, row]) => {
        const { latDeg, lonDeg } = locator.toLatLon(col, row)
        return projection.forward(lonDeg, latDeg)
      }),
    ),
  )
}

/** A window in a projection: its ground lengths laid along the axes at its middle. */
function windowBounds({ centre, eastWestM, northSouthM }: SiteWindow, projection: Projection) {
  const [x, y] = projection.forward(centre.lonDeg, centre.latDeg)
  // How many units of the projection a metre on the ground is, by a short way north.
  const arcDeg = 0.001
  const [x1, y1] = projection.forward(centre.lonDeg, centre.latDeg + arcDeg)
  const perM = Math.hypot(x1 - x, y1 - y) / ((arcDeg * Math.PI * EARTH_RADIUS_M) / 180)
  return {
    west: x - (eastWestM / 2) * perM,
    east: x + (eastWestM / 2) * perM,
    south: y - (northSouthM / 2) * perM,
    north: y + (northSouthM / 2) * perM,
  }
}
