import { polygon as turfPolygon } from '@turf/turf'
import { signal } from '@preact/signals'
import { writeCsv } from '../../core/exchange/csv'
import type { FeatureFile, MapFeature } from '../../core/exchange/features'
import { writeGpx } from '../../core/exchange/gpx'
import { writeKml } from '../../core/exchange/kml'
import { planFeatures, readFeatures } from '../../core/exchange/planFeatures'
import type { TextFile } from '../../core/host'
import { isInside } from '../../core/terrain/grid'
import { thinLine, type Metres } from '../../core/exchange/thinLine'
import { EARTH_RADIUS_M, type LatLon } from '../../core/geodesy/earth'
import { geodesic } from '../../core/geodesy/geodesic'
import { ROUTE_LIMITS, type Waypoint } from '../../core/route/route'
import { host } from '../host/host'
import { acceptOwn, changeLanding } from './landing'
import { changeRoute, newWaypoint } from './route'
import { setup } from './setup'
import { locator, terrain } from './terrain'
import { say } from '../../core/words/say'
import { notice, orSentence } from './work'

/** Formats that a plan is handed over in. */
export const HAND_OVERS = [
  { id: 'gpx', label: 'exchange.gpxRouteLandingPlaces', make: writeGpx },
  { id: 'kml', label: 'exchange.kmlRouteLandingAreas', make: writeKml },
  {
    id: 'csv',
    label: 'exchange.csvLinePosition',
    make: (_name: string, features: readonly MapFeature[]) => writeCsv(features),
  },
] as const

export async function handOver(id: (typeof HAND_OVERS)[number]['id']): Promise<void> {
  const grid = terrain.peek()
  const format = HAND_OVERS.find((one) => one.id === id)
  if (!grid || !format) return
  const features = orSentence(() => planFeatures(setup.peek(), grid))
  if (typeof features === 'string') {
    notice.value = features
    return
  }
  const text = format.make(say('common.plan'), features)
  try {
    await host.saveFile(`plan.${id}`, new TextEncoder().encode(text))
    notice.value = null
  } catch (error) {
    notice.value = say('exchange.planCouldNotHanded', {
      what: error instanceof Error ? error.message : String(error),
    })
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
  /** The whole file where it holds a recorded track with times; null for others. */
  readonly track: TextFile | null
  readonly offers: readonly Offer[]
}

/** Features listed one by one; of the rest none is taken. */
export const MOST_OFFERS = 200

export const incoming = signal<Incoming | null>(null)

/** Endings of files that can be brought in. */
export const INCOMING_ENDINGS = ['gpx', 'kml', 'geojson', 'json', 'csv']

export async function chooseIncoming(): Promise<void> {
  const file = await host.openText(say('exchange.gpxKmlGeojsonCsv'), INCOMING_ENDINGS)
  if (file) offerFile(file)
}

/** Shows what is in a file; the first line that lies on the terrain is offered as the route. */
export function offerFile({ text, name }: TextFile): void {
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place) {
    notice.value = say('common.noTerrainYet')
    return
  }
  const file = orSentence(() => readFeatures(text, name))
  notice.value = typeof file === 'string' ? file : null
  if (typeof file === 'string') return
  let hasRoute = setup.peek().route.waypoints.length > 0
  const offers = file.features.map((feature, i): Offer => {
    const offTerrain = feature.spots.filter((spot) => !isInside(grid, place.toGrid(spot))).length
    const isLine = feature.kind === 'line' && i < MOST_OFFERS
    const isRoute = isLine && offTerrain === 0 && !hasRoute
    if (isRoute) hasRoute = true
    return { feature, offTerrain, use: isRoute ? 'route' : 'nothing' }
  })
  const isTrack = /<trkpt[\s>]/.test(text) && /<time>/.test(text)
  const track = isTrack ? { text, name } : null
  incoming.value = { name, track, offers, remarks: file.remarks }
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
  const [chosen] = of('route')
  const came = chosen ? withoutLaunch(chosen.feature) : null
  const waypoints = [
    ...(came ? waypointsOf(thinned(came.line)) : route.waypoints),
    ...of('waypoint').flatMap(({ feature }) => waypointsOf(feature)),
  ]
  if (waypoints.length !== route.waypoints.length || came) {
    const endsAtLaunch = came ? came.endsAtLaunch : route.endsAtLaunch
    const last = came?.line.spots.at(-1)
    const isHigh = last !== undefined && last.amslM !== null
    const homeLeg = came && isHigh ? 'straight' : route.homeLeg
    changeRoute({ ...route, waypoints, endsAtLaunch, homeLeg })
  }
  const excluded = of('keep out').map(({ feature }) => outlineOf(feature))
  if (excluded.length > 0) changeLanding({ excluded: [...landing.excluded, ...excluded] })
  for (const { feature } of of('landing area')) await acceptOwn(outlineOf(feature), feature)
}

function waypointsOf({ spots, name, kind }: MapFeature): Waypoint[] {
  const [lowest, highest] = ROUTE_LIMITS.heightM
  return spots.map((spot) => {
    const fresh = { ...newWaypoint(spot), name: spot.name || (kind === 'point' ? name : '') }
    const { amslM } = spot
    if (amslM === null || !(amslM >= lowest && amslM <= highest)) return fresh
    // Between heights above the sea other programs fly straight.
    return { ...fresh, heightM: amslM, heightOver: 'sea', leg: 'straight' }
  })
}

/** A line without the launch point at its ends, where the route begins and ends anyway. */
function withoutLaunch(feature: MapFeature): { line: MapFeature; endsAtLaunch: boolean } {
  const { launch } = setup.peek()
  const isLaunch = (spot: LatLon | undefined) =>
    spot !== undefined && geodesic(launch, spot).distanceM < SAME_PLACE_M
  const { spots } = feature
  const from = isLaunch(spots[0]) ? 1 : 0
  const endsAtLaunch = spots.length > from + 1 && isLaunch(spots.at(-1))
  return {
    line: { ...feature, spots: spots.slice(from, endsAtLaunch ? -1 : undefined) },
    endsAtLaunch,
  }
}

const SAME_PLACE_M = 2
/** Metres in a degree of latitude. */
const PER_DEGREE_M = (EARTH_RADIUS_M * Math.PI) / 180

/** A line of no more positions than a route has: those that its shape needs least go first. */
function thinned(feature: MapFeature): MapFeature {
  const { spots } = feature
  if (spots.length <= MOST_WAYPOINTS) return feature
  const perLonM = PER_DEGREE_M * Math.cos((spots[0].latDeg * Math.PI) / 180)
  const line = spots.map(({ latDeg, lonDeg, amslM }): Metres => [
    lonDeg * perLonM,
    latDeg * PER_DEGREE_M,
    amslM ?? 0,
  ])
  return { ...feature, spots: thinLine(line, MOST_WAYPOINTS).map((i) => spots[i]) }
}

function outlineOf({ spots }: MapFeature) {
  const ring = [...spots, spots[0]].map(({ latDeg, lonDeg }) => [lonDeg, latDeg])
  return turfPolygon([ring]).geometry
}
