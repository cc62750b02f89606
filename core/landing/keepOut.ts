import type { Polygon } from 'geojson'
import { z } from 'zod'
import { say } from '../words/say'
import { PilotError } from '../errors'

const position = z.array(z.number()).min(2)
const ring = z.array(position).min(4)
const geometry = z.discriminatedUnion('type', [
  z.object({ type: z.literal('Polygon'), coordinates: z.array(ring).min(1) }),
  z.object({ type: z.literal('MultiPolygon'), coordinates: z.array(z.array(ring).min(1)) }),
])
const feature = z.object({ type: z.literal('Feature'), geometry })
const collection = z.object({
  type: z.literal('FeatureCollection'),
  features: z.array(z.unknown()),
})

/**
 * Reads areas to keep out of from GeoJSON (RFC 7946): polygons, alone or in a collection.
 * Throws a PilotError that names the file and what is wrong with it.
 */
export function readKeepOut(text: string, fileName: string): Polygon[] {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch (cause) {
    throw new PilotError(say('keepOut.notGeojsonCannotRead', { fileName }), { cause })
  }
  const whole = collection.safeParse(json)
  const features = whole.success ? whole.data.features : [json]
  const found = features.flatMap((each): Polygon[] => {
    const parsed = feature.safeParse(each)
    if (!parsed.success) return []
    const its = parsed.data.geometry
    if (its.type === 'Polygon') return [{ type: 'Polygon', coordinates: its.coordinates }]
    return its.coordinates.map((coordinates) => ({ type: 'Polygon' as const, coordinates }))
  })
  if (found.length === 0) {
    throw new PilotError(say('keepOut.holdsNoPolygonSo', { fileName }))
  }
  return found
}
