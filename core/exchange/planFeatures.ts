import type { Plan } from '../plan/plan'
import { waypointName } from '../route/route'
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
    spots: [
      takeOff,
      ...route.waypoints.map((waypoint, i) => {
        const base = waypoint.heightOver === 'sea' ? 0 : ground(waypoint)
        return spot(waypoint, waypointName(route, i), base + waypoint.heightM)
      }),
      ...(route.endsAtLaunch ? [takeOff] : []),
    ],
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
