import { PilotError } from '../errors'
import {
  isOnEarth,
  MOST_SPOTS,
  openRing,
  type FeatureFile,
  type MapFeature,
  type Spot,
} from './features'
import { say } from '../words/say'
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
  let [bad, all, overGround, holes, tracks] = [0, 0, 0, 0, 0]
  const spotsOf = (shape: Element | undefined): Spot[] =>
    textOf(shape, 'coordinates')
      .split(/\s+/)
      .filter(Boolean)
      .flatMap((tuple) => {
        if (++all > MOST_SPOTS) {
          throw new PilotError(say('common.tooManyPositions', { fileName }))
        }
        const [lonDeg, latDeg, height] = tuple.split(',').map((part) => Number(part || NaN))
        if (!isOnEarth({ latDeg, lonDeg })) {
          bad++
          return []
        }
        const mode = textOf(shape, 'altitudeMode')
        const isAbsolute = mode === 'absolute'
        if (mode === 'relativeToGround') overGround++
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
      const corners = openRing(spots)
      if (corners.length > 2) features.push({ kind: 'area', name, note, spots: corners })
      if (elementsOf(shape, 'innerBoundaryIs').length > 0) holes++
    }
    tracks += elementsOf(parent, 'Track').length + elementsOf(parent, 'MultiTrack').length
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
  const remarks = [
    ...(bad > 0 ? [say('common.positionsNowhereEarth', { bad, fileName })] : []),
    ...(overGround > 0 ? [say('kml.heightsAboveGroundNot', { overGround })] : []),
    ...(holes > 0 ? [say('kml.areasHaveHolesWhich', { holes })] : []),
    ...(tracks > 0 ? [say('kml.recordedTracksNotRead', { tracks })] : []),
  ]
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
