import { checkWithin, PilotError } from '../errors'
import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import type { ResolvedEnd } from '../propagation/path'
import { resolveEnd } from '../propagation/path'
import type { Surface } from '../surface/surface'
import { bilinear, groundAt, type GridLocator, type TerrainGrid } from '../terrain/grid'
import { say } from '../words/say'
import { ROUTE_LIMITS, waypointName, type LegShape, type Route } from './route'

/** Spacing of the samples along a route, in cells. */
const SAMPLE_STEP_CELLS = 0.5

/** A place where legs meet: the launch point, a waypoint, and the launch point again. */
export interface Station extends LatLon {
  readonly label: string
  /** Index among the waypoints; null over the launch point. */
  readonly waypoint: number | null
  readonly groundM: number
  /** Flown height there, above sea level. */
  readonly amslM: number
  readonly loiterS: number
  /** Sample of the line at which it lies, and distance flown until there, metres. */
  readonly sample: number
  readonly distanceM: number
}

/** From one station to the next. */
export interface Leg {
  readonly from: Station
  readonly to: Station
  readonly shape: LegShape
  readonly distanceM: number
  readonly bearingDeg: number
}

/** A route laid over the terrain: parallel arrays, one entry a sample, all stations included. */
export interface RouteLine {
  readonly stations: readonly Station[]
  readonly legs: readonly Leg[]
  /** Leg that each sample is on; a station belongs to the leg that leads to it. */
  readonly legOf: Uint16Array
  /** Grid position. */
  readonly cols: Float64Array
  readonly rows: Float64Array
  /** Flown over ground until there. */
  readonly distanceM: Float64Array
  /** Above sea level; NaN where the terrain has no data. */
  readonly groundM: Float64Array
  /** Ground with what stands on it. */
  readonly surfaceM: Float64Array
  /** The flown line, above sea level. */
  readonly flownM: Float64Array
}

/**
 * Lays a route over the terrain. Legs are straight on the grid, as paths are; their lengths are
 * those of the WGS 84 geodesic.
 * Throws a PilotError where the route has no waypoint, or one is off the terrain or no usable height.
 */
export function routeLine(
  terrain: TerrainGrid,
  locator: GridLocator,
  surface: Surface,
  launch: LatLon,
  route: Route,
): RouteLine {
  const ends = stationEnds(terrain, locator, launch, route)
  const places = ends.map((end) => locator.toGrid(end))
  const counts = ends.slice(1).map((_, leg) => {
    const [a, b] = [places[leg], places[leg + 1]]
    const cells = Math.hypot(b.col - a.col, b.row - a.row)
    return Math.max(1, Math.ceil(cells / SAMPLE_STEP_CELLS))
  })
  const total = counts.reduce((sum, count) => sum + count, 1)
  const line = {
    legOf: new Uint16Array(total),
    cols: new Float64Array(total),
    rows: new Float64Array(total),
    distanceM: new Float64Array(total),
    groundM: new Float64Array(total),
    surfaceM: new Float64Array(total),
    flownM: new Float64Array(total),
  }
  const { cols, rows } = terrain
  let sample = 0
  let before = 0
  const stations: Station[] = []
  const legs: Leg[] = []
  const addStation = (end: (typeof ends)[number]) => {
    const { label, waypoint, groundM, amslM, loiterS, latDeg, lonDeg } = end
    const where = { sample, distanceM: before }
    stations.push({ latDeg, lonDeg, label, waypoint, groundM, amslM, loiterS, ...where })
  }
  const put = (leg: number, t: number, distanceM: number) => {
    const [a, b] = [places[leg], places[leg + 1]]
    const [from, to] = [ends[leg], ends[leg + 1]]
    const place = { col: a.col + (b.col - a.col) * t, row: a.row + (b.row - a.row) * t }
    const ground = groundAt(terrain, place)
    line.legOf[sample] = leg
    line.cols[sample] = place.col
    line.rows[sample] = place.row
    line.distanceM[sample] = distanceM
    line.groundM[sample] = ground
    line.surfaceM[sample] = bilinear(surface.covered, cols, rows, place.col, place.row)
    line.flownM[sample] =
      to.leg === 'straight'
        ? from.amslM + (to.amslM - from.amslM) * t
        : ground + from.aglM + (to.aglM - from.aglM) * t
  }
  put(0, 0, 0)
  addStation(ends[0])
  counts.forEach((count, leg) => {
    const { distanceM, bearingDeg } = geodesic(ends[leg], ends[leg + 1])
    for (let k = 1; k <= count; k++) {
      sample++
      put(leg, k / count, before + distanceM * (k / count))
    }
    before += distanceM
    addStation(ends[leg + 1])
    const shape = ends[leg + 1].leg
    legs.push({ from: stations[leg], to: stations[leg + 1], shape, distanceM, bearingDeg })
  })
  return { ...line, stations, legs }
}

interface StationEnd extends ResolvedEnd {
  readonly waypoint: number | null
  readonly amslM: number
  readonly aglM: number
  readonly loiterS: number
  readonly leg: LegShape
}

function stationEnds(
  terrain: TerrainGrid,
  locator: GridLocator,
  launch: LatLon,
  route: Route,
): StationEnd[] {
  const { waypoints, takeOffHeightM, endsAtLaunch, homeLeg } = route
  if (waypoints.length === 0) {
    throw new PilotError(say('routeLine.routeHasNoWaypoint'))
  }
  checkWithin({ key: 'routeLine.takeOffHeight' }, takeOffHeightM, ROUTE_LIMITS.takeOffHeightM, 'm')
  const base = resolveEnd(terrain, locator, {
    ...launch,
    label: say('common.launchPointInText'),
    heightM: 0,
  })
  const over: StationEnd = {
    ...base,
    label: say('common.launchPoint'),
    waypoint: null,
    amslM: base.groundM + takeOffHeightM,
    aglM: takeOffHeightM,
    loiterS: 0,
    leg: homeLeg,
  }
  const ends = waypoints.map((waypoint, i): StationEnd => {
    const label = waypointName(route, i)
    checkWithin(
      { key: 'routeLine.height', values: { label } },
      waypoint.heightM,
      ROUTE_LIMITS.heightM,
      'm',
    )
    checkWithin(
      { key: 'routeLine.loiterTime', values: { label } },
      waypoint.loiterS,
      ROUTE_LIMITS.loiterS,
      's',
    )
    const inWords = waypoint.name
      ? say('routeLine.waypoint', { name: waypoint.name })
      : say('routeLine.waypointUnnamed', { i: i + 1 })
    const end = resolveEnd(terrain, locator, { ...waypoint, label: inWords, heightM: 0 })
    const amslM = waypoint.heightM + (waypoint.heightOver === 'ground' ? end.groundM : 0)
    const { loiterS, leg } = waypoint
    return { ...end, label, waypoint: i, amslM, aglM: amslM - end.groundM, loiterS, leg }
  })
  return [over, ...ends, ...(endsAtLaunch ? [over] : [])]
}
