import { PilotError } from '../errors'
import { isOnEarth, MOST_SPOTS, type FeatureFile, type MapFeature, type Spot } from './features'
import { buildXml, elementsOf, parseXml, textOf, type Element } from './xml'

const NAMESPACE = 'http://www.opengis.net/kml/2.2'
const CONTAINERS = ['Document', 'Folder']
const LISTS = [...CONTAINERS, 'Placemark', 'Point', 'LineString', 'LinearRing', 'Polygon', 'MultiGeometry'] // prettier-ignore
/** Folders in folders deeper than this are nobody's plan. */
const MOST_DEPTH = 50

/** Reads points, lines and areas of KML 2.2 (OGC 07-147r2). Throws a PilotError. */
export function readKml(text: string, fileName: string): FeatureFile {
  const root = parseXml(text, fileName, 'kml', LISTS)
  const features: MapFeature[] = []
  let [bad, all] = [0, 0]
  const spotsOf = (shape: Element | undefined): Spot[] =>
    textOf(shape, 'coordinates')
      .split(/\s+/)
      .filter(Boolean)
      .flatMap((tuple) => {
        if (++all > MOST_SPOTS) {
          throw new PilotError(
            `"${fileName}" holds more than a million positions; cut it to the part you need.`,
          )
        }
        const [lonDeg, latDeg, height] = tuple.split(',').map((part) => Number(part || NaN))
        if (!isOnEarth({ latDeg, lonDeg })) {
          bad++
          return []
        }
        // Heights count unless they are only clamped to the ground.
        const isAbsolute = textOf(shape, 'altitudeMode') === 'absolute'
        const amslM = isAbsolute && Number.isFinite(height) ? height : null
        return [{ latDeg, lonDeg, amslM, name: '' }]
      })
  const addShapes = (parent: Element, name: string, note: string, depth: number) => {
    if (depth > MOST_DEPTH) return
    for (const shape of elementsOf(parent, 'Point')) {
      const spots = spotsOf(shape).slice(0, 1)
      if (spots.length > 0) features.push({ kind: 'point', name, note, spots })
    }
    for (const shape of [
      ...elementsOf(parent, 'LineString'),
      ...elementsOf(parent, 'LinearRing'),
    ]) {
      const spots = spotsOf(shape)
      if (spots.length > 1) features.push({ kind: 'line', name, note, spots })
    }
    for (const shape of elementsOf(parent, 'Polygon')) {
      const [outer] = elementsOf(shape, 'outerBoundaryIs')
      const spots = spotsOf(elementsOf(outer, 'LinearRing')[0])
      // The first corner comes again at the end.
      if (spots.length > 3) features.push({ kind: 'area', name, note, spots: spots.slice(0, -1) })
    }
    for (const group of elementsOf(parent, 'MultiGeometry')) addShapes(group, name, note, depth + 1)
  }
  const walk = (parent: Element, depth: number) => {
    if (depth > MOST_DEPTH) return
    for (const mark of elementsOf(parent, 'Placemark')) {
      addShapes(mark, textOf(mark, 'name'), textOf(mark, 'description'), depth)
    }
    for (const kind of CONTAINERS) {
      for (const inside of elementsOf(parent, kind)) walk(inside, depth + 1)
    }
  }
  walk(root, 0)
  const remarks = bad > 0 ? [`${bad} positions of "${fileName}" are nowhere on Earth.`] : []
  return { features, remarks }
}

/** Writes features as KML 2.2; lines and points with a height at it above sea level. */
export function writeKml(name: string, features: readonly MapFeature[]): string {
  return buildXml('kml', {
    '@xmlns': NAMESPACE,
    Document: {
      name,
      Placemark: features.map((feature) => ({
        ...(feature.name ? { name: feature.name } : {}),
        ...(feature.note ? { description: feature.note } : {}),
        ...shapeXml(feature),
      })),
    },
  })
}

function shapeXml({ kind, spots }: MapFeature): object {
  const isHigh = spots.every(({ amslM }) => amslM !== null)
  const height = isHigh ? { altitudeMode: 'absolute' } : {}
  const coordinates = (all: readonly Spot[]) =>
    all
      .map(({ latDeg, lonDeg, amslM }) =>
        [lonDeg.toFixed(7), latDeg.toFixed(7), ...(isHigh ? [amslM!.toFixed(1)] : [])].join(','),
      )
      .join(' ')
  if (kind === 'point') return { Point: { ...height, coordinates: coordinates(spots) } }
  if (kind === 'line') return { LineString: { ...height, coordinates: coordinates(spots) } }
  const ring = { LinearRing: { coordinates: coordinates([...spots, spots[0]]) } }
  return { Polygon: { ...height, outerBoundaryIs: ring } }
}
