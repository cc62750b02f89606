import { PilotError } from '../errors'
import { isOnEarth, MOST_SPOTS, type FeatureFile, type MapFeature, type Spot } from './features'
import { say } from '../words/say'
import { buildXml, elementsOf, parseXml, textOf, type Element } from './xml'

const NAMESPACE = 'http://www.topografix.com/GPX/1/1'

/** Reads waypoints, routes and tracks of GPX 1.0 or 1.1. Throws a PilotError. */
export function readGpx(text: string, fileName: string): FeatureFile {
  const lists = ['wpt', 'rte', 'rtept', 'trk', 'trkseg', 'trkpt']
  const root = parseXml(text, fileName, 'gpx', lists)
  const features: MapFeature[] = []
  let [bad, all] = [0, 0]
  const spotsOf = (points: readonly Element[]) =>
    points.flatMap((point): Spot[] => {
      if (++all > MOST_SPOTS) {
        throw new PilotError(say('common.tooManyPositions', { fileName }))
      }
      const spot = spotOf(point)
      if (!spot) bad++
      return spot ? [spot] : []
    })
  for (const point of elementsOf(root, 'wpt')) {
    // The name is the feature's own.
    const spots = spotsOf([point]).map((spot) => ({ ...spot, name: '' }))
    if (spots.length > 0) features.push({ kind: 'point', ...called(point), spots })
  }
  for (const route of elementsOf(root, 'rte')) {
    const spots = spotsOf(elementsOf(route, 'rtept'))
    if (spots.length > 1) features.push({ kind: 'line', ...called(route), spots })
  }
  for (const track of elementsOf(root, 'trk')) {
    for (const part of elementsOf(track, 'trkseg')) {
      const spots = spotsOf(elementsOf(part, 'trkpt'))
      if (spots.length > 1) features.push({ kind: 'line', ...called(track), spots })
    }
  }
  const remarks = bad > 0 ? [say('common.positionsNowhereEarth', { bad, fileName })] : []
  return { features, remarks }
}

function spotOf(point: Element): Spot | null {
  const [latDeg, lonDeg] = [point['@lat'], point['@lon']].map((text) => Number(text || NaN))
  if (!isOnEarth({ latDeg, lonDeg })) return null
  const height = textOf(point, 'ele')
  const amslM = height === '' ? NaN : Number(height)
  return {
    latDeg,
    lonDeg,
    amslM: Number.isFinite(amslM) ? amslM : null,
    name: textOf(point, 'name'),
  }
}

function called(element: Element): { name: string; note: string } {
  return { name: textOf(element, 'name'), note: textOf(element, 'desc') || textOf(element, 'cmt') }
}

/** Writes features as GPX 1.1: points as waypoints, lines as routes, areas as closed tracks. */
export function writeGpx(name: string, features: readonly MapFeature[]): string {
  const of = (kind: MapFeature['kind']) => features.filter((feature) => feature.kind === kind)
  return buildXml('gpx', {
    '@version': '1.1',
    '@creator': 'Colsight',
    '@xmlns': NAMESPACE,
    metadata: { name },
    wpt: of('point').map((point) => ({ ...pointXml(point.spots[0]), ...words(point) })),
    rte: of('line').map((line) => ({
      ...words(line),
      rtept: line.spots.map((spot) => ({ ...pointXml(spot), ...words(spot) })),
    })),
    trk: of('area').map((area) => ({
      ...words(area),
      trkseg: { trkpt: [...area.spots, area.spots[0]].map(pointXml) },
    })),
  })
}

function pointXml({ latDeg, lonDeg, amslM }: Spot): object {
  return {
    '@lat': latDeg.toFixed(7),
    '@lon': lonDeg.toFixed(7),
    ...(amslM === null ? {} : { ele: amslM.toFixed(1) }),
  }
}

/** Name and description, in the order the schema has them. */
function words({ name, note = '' }: { name: string; note?: string }): object {
  return { ...(name ? { name } : {}), ...(note ? { desc: note } : {}) }
}
