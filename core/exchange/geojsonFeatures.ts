import type { Position } from 'geojson'
import { z } from 'zod'
import { PilotError } from '../errors'
import { say } from '../words/say'
import { isOnEarth, openRing, type FeatureFile, type MapFeature, type Spot } from './features'

const position = z.array(z.number()).min(2)
const geometry = z.discriminatedUnion('type', [
  z.object({ type: z.literal('Point'), coordinates: position }),
  z.object({ type: z.literal('MultiPoint'), coordinates: z.array(position) }),
  z.object({ type: z.literal('LineString'), coordinates: z.array(position) }),
  z.object({ type: z.literal('MultiLineString'), coordinates: z.array(z.array(position)) }),
  z.object({ type: z.literal('Polygon'), coordinates: z.array(z.array(position)) }),
  z.object({
    type: z.literal('MultiPolygon'),
    coordinates: z.array(z.array(z.array(position))),
  }),
])
const feature = z.object({
  type: z.literal('Feature'),
  geometry,
  properties: z.record(z.string(), z.unknown()).nullish(),
})

/** Reads points, lines and areas of GeoJSON (RFC 7946). Throws a PilotError. */
export function readGeoJson(text: string, fileName: string): FeatureFile {
  let json: unknown
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ''))
  } catch (cause) {
    throw new PilotError(say('geojsonFeatures.cannotReadJsonExport', { fileName }), {
      cause,
    })
  }
  const collection = z.object({ features: z.array(z.unknown()) }).safeParse(json)
  const all = collection.success ? collection.data.features : [json]
  const features: MapFeature[] = []
  let bad = 0
  for (const one of all) {
    const parsed = feature.safeParse(one)
    const shapes = parsed.success ? shapesOf(parsed.data.geometry) : []
    if (shapes.length === 0) bad++
    const { name, note, description } = (parsed.success && parsed.data.properties) || {}
    const words = (value: unknown) => (typeof value === 'string' ? value.trim() : '')
    for (const [kind, spots] of shapes) {
      features.push({ kind, name: words(name), note: words(note) || words(description), spots })
    }
  }
  if (features.length === 0) {
    throw new PilotError(say('geojsonFeatures.jsonButHoldsNo', { fileName }))
  }
  return {
    features,
    remarks: bad > 0 ? [say('geojsonFeatures.partsCannotUsed', { bad, fileName })] : [],
  }
}

function shapesOf(shape: z.output<typeof geometry>): [MapFeature['kind'], Spot[]][] {
  const line = (kind: MapFeature['kind'], least: number, positions: readonly Position[]) => {
    const spots = positions.map(([lonDeg, latDeg, height]) => ({
      latDeg,
      lonDeg,
      amslM: Number.isFinite(height) ? height : null,
      name: '',
    }))
    return spots.length >= least && spots.every(isOnEarth)
      ? [[kind, kind === 'area' ? [...openRing(spots)] : spots] as [MapFeature['kind'], Spot[]]]
      : []
  }
  switch (shape.type) {
    case 'Point':
      return line('point', 1, [shape.coordinates])
    case 'MultiPoint':
      return shape.coordinates.flatMap((one) => line('point', 1, [one]))
    case 'LineString':
      return line('line', 2, shape.coordinates)
    case 'MultiLineString':
      return shape.coordinates.flatMap((one) => line('line', 2, one))
    case 'Polygon':
      return line('area', 4, shape.coordinates[0] ?? [])
    case 'MultiPolygon':
      return shape.coordinates.flatMap(([outer = []]) => line('area', 4, outer))
  }
}
