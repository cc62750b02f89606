import type { Plan } from '../plan/plan'
import { waypointName, type LegShape } from '../route/route'
import { geodesic } from '../geodesy/geodesic'
import { thinLine, type Metres } from './thinLine'
import { GridLocator, groundAt, type TerrainGrid } from '../terrain/grid'
import type { LatLon } from '../geodesy/earth'
import { PilotError } from '../errors'
import { readCsv } from './csv'
import type { FeatureFile, MapFeature, Spot } from './features'
import { readGeoJson } from './geojsonFeatures'
import { readGpx } from './gpx'
import { readKml } from './kml'

/**
 * A plan for other programs: launch point and places to put it down as points, the route with its
 * heights above sea level as a line, landing areas as areas.
 */
export function planFeatures(plan: Plan, terrain: TerrainGrid): MapFeature[] {
  const locator = new GridLocator(terrain)
  const ground = (place: LatLon) => groundAt(terrain, locator.toGrid(place))
  const spot = (place: LatLon, name: string, amslM: number): Spot => ({
    latDeg: place.latDeg,
    lonDeg: place.lonDeg,
    name,
    amslM: Number.isFinite(amslM) ? amslM : null,
  })
  const { launch, route, landing } = plan
  const takeOff = spot(launch, 'Launch point', ground(launch) + route.takeOffHeightM)
  const line: MapFeature = {
    kind: 'line',
    name: 'Route',
    note: '',
    spots: alongTerrain(
      [
        takeOff,
        ...route.waypoints.map((waypoint, i) => {
          const base = waypoint.heightOver === 'sea' ? 0 : ground(waypoint)
          return spot(waypoint, waypointName(route, i), base + waypoint.heightM)
        }),
        ...(route.endsAtLaunch ? [takeOff] : []),
      ],
      [...route.waypoints.map(({ leg }) => leg), route.homeLeg],
      ground,
    ),
  }
  const point = (name: string, note: string, at: LatLon): MapFeature => ({
    kind: 'point',
    name,
    note,
    spots: [spot(at, '', ground(at))],
  })
  return [
    point('Launch point', `Antenna ${plan.antennaHeightM} m above ground`, launch),
    ...(landing.roadHead ? [point('Road head', '', landing.roadHead)] : []),
    ...landing.accepted.map((area) => point(area.name, area.note, area.at)),
    ...(route.waypoints.length > 0 ? [line] : []),
    ...landing.accepted.map(({ name, note, outline }): MapFeature => {
      const corners = outline.coordinates[0].slice(0, -1)
      const spots = corners.map(([lonDeg, latDeg]) => ({ latDeg, lonDeg, name: '', amslM: null }))
      return { kind: 'area', name, note, spots }
    }),
  ]
}

/** Positions along a leg that follows the terrain are this close, and keep its shape this well. */
const STEP_M = 30
const SHAPE_M = 3
const MOST_BETWEEN = 60

/**
 * Positions with more between them where a leg follows the terrain: other programs fly straight from
 * one to the next, which would lead through the ridges that the plan goes over.
 * @param legs shape of the leg that leads to each position but the first
 */
function alongTerrain(
  spots: readonly Spot[],
  legs: readonly LegShape[],
  ground: (place: LatLon) => number,
): Spot[] {
  return spots.flatMap((to, i): Spot[] => {
    const from = spots[i - 1]
    if (!from || legs[i - 1] === 'straight' || from.amslM === null || to.amslM === null) return [to]
    const { distanceM } = geodesic(from, to)
    const steps = Math.ceil(distanceM / STEP_M)
    const [fromAglM, toAglM] = [from.amslM - ground(from), to.amslM - ground(to)]
    const line = Array.from({ length: steps + 1 }, (_, step): Spot => {
      const t = step / Math.max(1, steps)
      const latDeg = from.latDeg + (to.latDeg - from.latDeg) * t
      const lonDeg = from.lonDeg + (to.lonDeg - from.lonDeg) * t
      const amslM = ground({ latDeg, lonDeg }) + fromAglM + (toAglM - fromAglM) * t
      return { latDeg, lonDeg, name: '', amslM: Number.isFinite(amslM) ? amslM : null }
    })
    const metres = line.map(({ amslM }, step): Metres => [step * STEP_M, 0, amslM ?? 0])
    const between = thinLine(metres, MOST_BETWEEN, SHAPE_M).slice(1, -1)
    return [...between.map((step) => line[step]).filter(({ amslM }) => amslM !== null), to]
  })
}

/** Reads the file of another program by what its name ends with. Throws a PilotError. */
export function readFeatures(text: string, fileName: string): FeatureFile {
  const ending = /\.([a-z]+)$/i.exec(fileName)?.[1].toLowerCase()
  const reader = {
    gpx: readGpx,
    kml: readKml,
    csv: readCsv,
    geojson: readGeoJson,
    json: readGeoJson,
  }
  if (!ending || !(ending in reader)) {
    throw new PilotError(
      `"${fileName}" is of a kind not read here; give a GPX, KML, GeoJSON or CSV file.`,
    )
  }
  const file = reader[ending as keyof typeof reader](text, fileName)
  if (file.features.length === 0) {
    throw new PilotError(
      `"${fileName}" holds no points, lines or areas${file.remarks.length > 0 ? `: ${file.remarks[0]}` : '.'}`,
    )
  }
  return file
}
