import { simplify, lineString, polygon as turfPolygon } from '@turf/turf'
import { signal } from '@preact/signals'
import { writeCsv } from '../../core/exchange/csv'
import type { FeatureFile, MapFeature } from '../../core/exchange/features'
import { writeGpx } from '../../core/exchange/gpx'
import { writeKml } from '../../core/exchange/kml'
import { planFeatures, readFeatures } from '../../core/exchange/planFeatures'
import type { TextFile } from '../../core/host'
import { isInside } from '../../core/terrain/grid'
import type { Waypoint } from '../../core/route/route'
import { host } from '../host/host'
import { acceptOwn, changeLanding } from './landing'
import { changeRoute, newWaypoint } from './route'
import { setup } from './setup'
import { locator, terrain } from './terrain'
import { notice, orSentence } from './work'

/** Formats that a plan is handed over in. */
export const HAND_OVERS = [
  { id: 'gpx', label: 'GPX: route, landing places', make: writeGpx },
  { id: 'kml', label: 'KML: route, landing areas', make: writeKml },
  {
    id: 'csv',
    label: 'CSV: a line a position',
    make: (_name: string, features: readonly MapFeature[]) => writeCsv(features),
  },
] as const

export async function handOver(id: (typeof HAND_OVERS)[number]['id']): Promise<void> {
  const grid = terrain.peek()
  const format = HAND_OVERS.find((one) => one.id === id)
  if (!grid || !format) return
  const text = format.make('Plan', planFeatures(setup.peek(), grid))
  try {
    await host.saveFile(`plan.${id}`, new TextEncoder().encode(text))
    notice.value = null
  } catch (error) {
    notice.value = `The plan could not be handed over: ${error instanceof Error ? error.message : String(error)}. Choose another folder or make room on the disk.`
  }
}

/** What features of another program can become. */
export type Use = 'nothing' | 'route' | 'waypoint' | 'landing area' | 'keep out'
export const USES: Readonly<Record<MapFeature['kind'], readonly Use[]>> = {
  line: ['nothing', 'route'],
  point: ['nothing', 'waypoint'],
  area: ['nothing', 'landing area', 'keep out'],
}

export interface Offer {
  readonly feature: MapFeature
  readonly use: Use
  /** Positions off the terrain at hand. */
  readonly offTerrain: number
}

/** A file of another program, before anything of it is taken over. */
export interface Incoming extends Omit<FeatureFile, 'features'> {
  readonly name: string
  readonly offers: readonly Offer[]
}

export const incoming = signal<Incoming | null>(null)

/** Endings of files that can be brought in. */
export const INCOMING_ENDINGS = ['gpx', 'kml', 'geojson', 'json', 'csv']

export async function chooseIncoming(): Promise<void> {
  const file = await host.openText('GPX, KML, GeoJSON or CSV', INCOMING_ENDINGS)
  if (file) offerFile(file)
}

/** Shows what is in a file; the first line that lies on the terrain is offered as the route. */
export function offerFile({ text, name }: TextFile): void {
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place) return
  const file = orSentence(() => readFeatures(text, name))
  notice.value = typeof file === 'string' ? file : null
  if (typeof file === 'string') return
  let hasRoute = setup.peek().route.waypoints.length > 0
  const offers = file.features.map((feature): Offer => {
    const offTerrain = feature.spots.filter((spot) => !isInside(grid, place.toGrid(spot))).length
    const isRoute = feature.kind === 'line' && offTerrain === 0 && !hasRoute
    if (isRoute) hasRoute = true
    return { feature, offTerrain, use: isRoute ? 'route' : 'nothing' }
  })
  incoming.value = { name, offers, remarks: file.remarks }
}

export function useAs(index: number, use: Use): void {
  const file = incoming.peek()
  if (!file) return
  const offers = file.offers.map((offer, i) => {
    if (i === index) return { ...offer, use }
    // There is one route.
    return use === 'route' && offer.use === 'route' ? { ...offer, use: 'nothing' as const } : offer
  })
  incoming.value = { ...file, offers }
}

/** A route of more waypoints is a track: it is thinned out. */
export const MOST_WAYPOINTS = 200

/** Takes over what was chosen. */
export async function takeIncoming(): Promise<void> {
  const file = incoming.peek()
  if (!file) return
  incoming.value = null
  const of = (use: Use) => file.offers.filter((offer) => offer.use === use)
  const { route, landing } = setup.peek()
  const [line] = of('route')
  const waypoints = [
    ...(line ? waypointsOf(thinned(line.feature)) : route.waypoints),
    ...of('waypoint').flatMap(({ feature }) => waypointsOf(feature)),
  ]
  if (waypoints.length !== route.waypoints.length || line) {
    changeRoute({ ...route, waypoints, endsAtLaunch: line ? false : route.endsAtLaunch })
  }
  const excluded = of('keep out').map(({ feature }) => outlineOf(feature))
  if (excluded.length > 0) changeLanding({ excluded: [...landing.excluded, ...excluded] })
  for (const { feature } of of('landing area')) await acceptOwn(outlineOf(feature), feature)
}

function waypointsOf({ spots, name, kind }: MapFeature): Waypoint[] {
  return spots.map((spot) => {
    const fresh = { ...newWaypoint(spot), name: spot.name || (kind === 'point' ? name : '') }
    return spot.amslM === null ? fresh : { ...fresh, heightM: spot.amslM, heightOver: 'sea' }
  })
}

/** A line of no more positions than a route has: those that its shape needs least go first. */
function thinned(feature: MapFeature): MapFeature {
  let { spots } = feature
  for (let tolerance = 1e-5; spots.length > MOST_WAYPOINTS; tolerance *= 1.6) {
    const line = lineString(feature.spots.map(({ latDeg, lonDeg }, i) => [lonDeg, latDeg, i]))
    const kept = simplify(line, { tolerance, highQuality: true }).geometry.coordinates
    spots = kept.map(([, , i]) => feature.spots[i])
  }
  return { ...feature, spots }
}

function outlineOf({ spots }: MapFeature) {
  const ring = [...spots, spots[0]].map(({ latDeg, lonDeg }) => [lonDeg, latDeg])
  return turfPolygon([ring]).geometry
}
