import { PilotError, throwIfCancelled } from '../errors'
import { Projection, siteEpsg, isGeographic, type Crs, type CrsLookup } from '../geodesy/crs'
import { EARTH_RADIUS_M, type LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import { LatticeMapping } from '../geodesy/lattice'
import { bilinear, type GridFrame, type TerrainGrid } from './grid'

/** A north-up raster of heights in any CRS, as a file holds it. */
export interface SourceRaster {
  readonly cols: number
  readonly rows: number
  /** Cell size eastward and southward, both positive, in units of the CRS. */
  readonly stepX: number
  readonly stepY: number
  /** Outer edges of the first column and the first row. */
  readonly west: number
  readonly north: number
  readonly crs: Crs
  readonly heights: Float32Array
}

interface ResampleOptions {
  readonly name: string
  readonly lookUpCrs: CrsLookup
  readonly signal?: AbortSignal
}

/** Farther than this from its middle a site would lie outside the projection's good range. */
const MAX_REACH_M = 500_000
/** Rows resampled between two looks at cancellation. */
const ROWS_PER_LOOK = 256

/**
 * Resamples a raster, bilinear, into the metric CRS of its own centre (UTM, or polar
 * stereographic past 84 N and 80 S), with square cells of about the same ground area.
 */
export async function resampleToSite(
  raster: SourceRaster,
  { name, lookUpCrs, signal }: ResampleOptions,
): Promise<TerrainGrid> {
  const source = new Projection(raster.crs)
  const centre = source.inverse(
    raster.west + (raster.cols * raster.stepX) / 2,
    raster.north - (raster.rows * raster.stepY) / 2,
  )
  const crs = Number.isFinite(centre.latDeg) ? await lookUpCrs(siteEpsg(centre)) : undefined
  if (!crs) {
    throw new PilotError(
      `"${name}" lies where its coordinate system (${raster.crs.name}) has no answer; check its georeferencing.`,
    )
  }
  const corner = source.inverse(raster.west, raster.north)
  if (!(roughDistanceM(centre, corner) <= MAX_REACH_M)) {
    throw new PilotError(
      `"${name}" covers far more than one site; cut out the part around your site.`,
    )
  }
  const site = new Projection(crs)
  const frame = siteFrame(raster, source, site, crs)

  const mapping = new LatticeMapping(frame.cols, frame.rows, (col, row) => {
    const x = frame.westM + (col + 0.5) * frame.cellM
    const y = frame.northM - (row + 0.5) * frame.cellM
    const { lonDeg, latDeg } = site.inverse(x, y)
    const [sx, sy] = source.forward(lonDeg, latDeg)
    return [
      (wrapNear(sx, raster) - raster.west) / raster.stepX - 0.5,
      (raster.north - sy) / raster.stepY - 0.5,
    ]
  })

  const heights = new Float32Array(frame.cols * frame.rows)
  const x = new Float64Array(frame.cols)
  const y = new Float64Array(frame.cols)
  for (let row = 0, i = 0; row < frame.rows; row++) {
    if (row % ROWS_PER_LOOK === 0) throwIfCancelled(signal)
    mapping.mapRow(row, x, y)
    for (let col = 0; col < frame.cols; col++, i++) {
      const inside =
        x[col] >= -0.5 &&
        y[col] >= -0.5 &&
        x[col] <= raster.cols - 0.5 &&
        y[col] <= raster.rows - 0.5
      heights[i] = inside ? bilinear(raster.heights, raster.cols, raster.rows, x[col], y[col]) : NaN
    }
  }
  const origin = `resampled from ${raster.crs.name}`
  return { ...frame, heights, name, origin }
}

/** The smallest frame in the site's CRS that holds the whole raster. */
function siteFrame(
  raster: SourceRaster,
  source: Projection,
  site: Projection,
  crs: Crs,
): GridFrame {
  const cellM = groundCellM(raster, source)
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity]
  const perSide = 64
  for (let i = 0; i <= perSide; i++) {
    for (let j = 0; j <= perSide; j++) {
      if (i % perSide && j % perSide) continue
      const { lonDeg, latDeg } = source.inverse(
        raster.west + (i / perSide) * raster.cols * raster.stepX,
        raster.north - (j / perSide) * raster.rows * raster.stepY,
      )
      const [x, y] = site.forward(lonDeg, latDeg)
      west = Math.min(west, x)
      east = Math.max(east, x)
      south = Math.min(south, y)
      north = Math.max(north, y)
    }
  }
  const westM = Math.floor(west / cellM) * cellM
  const northM = Math.ceil(north / cellM) * cellM
  return {
    cols: Math.max(2, Math.ceil((east - westM) / cellM)),
    rows: Math.max(2, Math.ceil((northM - south) / cellM)),
    cellM,
    westM,
    northM,
    crs,
  }
}

/** Edge of a square with the ground area of the raster's middle cell, to two figures, metres. */
function groundCellM(raster: SourceRaster, source: Projection): number {
  const x = raster.west + (raster.cols * raster.stepX) / 2
  const y = raster.north - (raster.rows * raster.stepY) / 2
  const at = (dx: number, dy: number) =>
    source.inverse(x + dx * raster.stepX, y + dy * raster.stepY)
  const area =
    geodesic(at(-0.5, 0), at(0.5, 0)).distanceM * geodesic(at(0, -0.5), at(0, 0.5)).distanceM
  return Number(Math.sqrt(area).toPrecision(2))
}

/** Distance for a look at magnitudes, also between opposite ends of the globe. */
function roughDistanceM(a: LatLon, b: LatLon): number {
  const [x, y, z] = [a, b]
    .map(({ latDeg, lonDeg }) => {
      const [lat, lon] = [(latDeg * Math.PI) / 180, (lonDeg * Math.PI) / 180]
      return [Math.cos(lat) * Math.cos(lon), Math.cos(lat) * Math.sin(lon), Math.sin(lat)]
    })
    .reduce((from, to) => from.map((value, axis) => value - to[axis]))
  return Math.hypot(x, y, z) * EARTH_RADIUS_M
}

/** In degrees, the same meridian within half a turn of the raster's middle. */
function wrapNear(x: number, raster: SourceRaster): number {
  if (!isGeographic(raster.crs)) return x
  const middle = raster.west + (raster.cols * raster.stepX) / 2
  return x - 360 * Math.round((x - middle) / 360)
}
