import type { KeptKind } from '../plan/keptPlace'
import type { Plan } from '../plan/plan'
import { routeLine, type Leg, type Station } from '../route/routeLine'
import { bareGround } from '../surface/surface'
import { thinLine, type Metres } from './thinLine'
import { GridLocator, groundAt, type TerrainGrid } from '../terrain/grid'
import type { LatLon } from '../geodesy/earth'
import { PilotError } from '../errors'
import { readCsv } from './csv'
import type { FeatureFile, MapFeature, Spot } from './features'
import { readGeoJson } from './geojsonFeatures'
import { readGpx } from './gpx'
import { say, type TextKey } from '../words/say'
import { readKml } from './kml'

const KEPT_NAMES: Readonly<Record<KeptKind, TextKey>> = {
  col: 'common.col',
  'other launch point': 'planFeatures.otherLaunchPoint',
}

/**
 * A plan for other programs: launch point and places to put it down as points, the route with its
 * heights above sea level as a line, landing areas as areas.
 * Throws a PilotError where a waypoint is off the terrain.
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
  const point = (name: string, note: string, at: LatLon): MapFeature => ({
    kind: 'point',
    name,
    note,
    spots: [spot(at, '', ground(at))],
  })
  return [
    point(
      say('common.launchPoint'),
      say('planFeatures.antennaMAboveGround', { antennaHeightM: plan.antennaHeightM }),
      launch,
    ),
    ...(landing.roadHead ? [point(say('common.roadHead'), '', landing.roadHead)] : []),
    ...landing.accepted.map((area) => point(area.name, area.note, area.at)),
    ...plan.places.map((place) => point(place.name, say(KEPT_NAMES[place.kind]), place)),
    ...(route.waypoints.length > 0 ? [routeFeature(plan, terrain, locator)] : []),
    ...landing.accepted.map(({ name, note, outline }): MapFeature => {
      const corners = outline.coordinates[0].slice(0, -1)
      const spots = corners.map(([lonDeg, latDeg]) => ({ latDeg, lonDeg, name: '', amslM: null }))
      return { kind: 'area', name, note, spots }
    }),
  ]
}

/** A leg that follows the terrain keeps its shape this well, with so many positions at most. */
const SHAPE_M = 3
const MOST_BETWEEN = 60

/**
 * The route as it is flown, with positions between the waypoints where a leg follows the terrain:
 * other programs fly straight from one to the next, which would lead through the ridges that the
 * plan goes over.
 */
function routeFeature(plan: Plan, terrain: TerrainGrid, locator: GridLocator): MapFeature {
  const line = routeLine(terrain, locator, bareGround(terrain), plan.launch, plan.route)
  const { stations, legs, distanceM, flownM, cols, rows } = line
  const atStation = ({ latDeg, lonDeg, label, amslM }: Station): Spot => ({
    latDeg,
    lonDeg,
    amslM,
    name: label,
  })
  const atSample = (sample: number): Spot => ({
    ...locator.toLatLon({ col: cols[sample], row: rows[sample] }),
    amslM: flownM[sample],
    name: '',
  })
  const between = ({ from, to, shape }: Leg): Spot[] => {
    if (shape === 'straight') return []
    const samples = Array.from({ length: to.sample - from.sample + 1 }, (_, i) => from.sample + i)
    const known = samples.filter((sample) => Number.isFinite(flownM[sample]))
    const metres = known.map((sample): Metres => [distanceM[sample], 0, flownM[sample]])
    const kept = thinLine(metres, MOST_BETWEEN + 2, SHAPE_M)
    return kept.slice(1, -1).map((i) => atSample(known[i]))
  }
  const spots = [
    atStation(stations[0]),
    ...legs.flatMap((leg) => [...between(leg), atStation(leg.to)]),
  ]
  return { kind: 'line', name: 'Route', note: '', spots }
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
    throw new PilotError(say('planFeatures.kindNotReadHere', { fileName }))
  }
  const file = reader[ending as keyof typeof reader](text, fileName)
  if (file.features.length === 0) {
    throw new PilotError(
      say('planFeatures.holdsNoPointsLines', {
        fileName,
        what: file.remarks.length > 0 ? `: ${file.remarks[0]}` : '.',
      }),
    )
  }
  return file
}
