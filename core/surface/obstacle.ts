import type { Geometry } from 'geojson'
import { z } from 'zod'
import { PilotError } from '../errors'
import type { Unknown } from '../plan/unknown'
import type { GridLocator } from '../terrain/grid'
import { shapesOnGrid } from '../terrain/shapes'
import { say } from '../words/say'
import type { StandingObstacle } from './surface'

export const OBSTACLE_KINDS = ['mast', 'wire', 'wood', 'building'] as const
export type ObstacleKind = (typeof OBSTACLE_KINDS)[number]

/** Something that stands on the ground and that the terrain model does not show. */
export interface Obstacle {
  readonly name: string
  /** A wire is a wire, for route checks, whatever its shape. */
  readonly kind: ObstacleKind
  /** Above the ground below it, metres. */
  readonly heightM: number
  /** WGS 84, longitude before latitude. */
  readonly geometry: Geometry
  /** What its file says beyond this. */
  readonly unknown?: Unknown
}

/** No obstacle on Earth is higher, metres. */
export const MAX_OBSTACLE_M = 1000

/** Lays an obstacle on a grid. */
export function standOnGrid(obstacle: Obstacle, locator: GridLocator): StandingObstacle {
  return {
    shapes: shapesOnGrid(obstacle.geometry, locator),
    heightM: obstacle.heightM,
    isWire: obstacle.kind === 'wire',
  }
}

const position = z
  .array(z.number())
  .min(2)
  .refine(([lon, lat]) => Math.abs(lon) <= 180 && Math.abs(lat) <= 90, {
    error: () => say('obstacle.noLongitudeLatitude'),
  })
const line = z.array(position).min(2, { error: () => say('obstacle.needsTwoPositions') })
const ring = z.array(position).min(4, { error: () => say('obstacle.needsFourPositions') })
const polygon = z.array(ring).min(1, { error: () => say('obstacle.hasNoRing') })

const simple = z.discriminatedUnion('type', [
  z.object({ type: z.literal('Point'), coordinates: position }),
  z.object({ type: z.literal('MultiPoint'), coordinates: z.array(position) }),
  z.object({ type: z.literal('LineString'), coordinates: line }),
  z.object({ type: z.literal('MultiLineString'), coordinates: z.array(line) }),
  z.object({ type: z.literal('Polygon'), coordinates: polygon }),
  z.object({ type: z.literal('MultiPolygon'), coordinates: z.array(polygon) }),
])

const feature = z.object({
  type: z.literal('Feature'),
  geometry: simple,
  properties: z.record(z.string(), z.unknown()).nullable(),
})

const collection = z.object({
  type: z.literal('FeatureCollection'),
  features: z.array(z.unknown()),
})

/**
 * Reads obstacles from GeoJSON (RFC 7946). Each feature gives its height above ground in metres
 * as `height_m` (or `height`, as open map data writes it), and may give `kind` and `name`; without
 * a kind a point is a mast, a line a wire and an area a wood.
 * Throws a PilotError that names the file, the feature and what is wrong with it.
 */
export function readObstacles(text: string, fileName: string): Obstacle[] {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch (cause) {
    throw new PilotError(say('obstacle.notGeojsonCannotRead', { fileName }), { cause })
  }
  const single = feature.safeParse(json)
  const whole = collection.safeParse(json)
  if (!single.success && !whole.success) {
    throw new PilotError(say('obstacle.jsonButNoGeojson', { fileName }))
  }
  const features = whole.success ? whole.data.features : [json]
  if (features.length === 0) {
    throw new PilotError(say('obstacle.holdsNoFeaturesSo', { fileName }))
  }
  return features.map((raw, i) => readFeature(raw, i + 1, fileName))
}

function readFeature(raw: unknown, number: number, fileName: string): Obstacle {
  const parsed = feature.safeParse(raw)
  const place = say('obstacle.feature', { number, fileName })
  if (!parsed.success) {
    const { path, message } = parsed.error.issues[0]
    const where = path.length > 0 ? say('obstacle.at', { path: path.join('.') }) : ''
    throw new PilotError(say('obstacle.noPointLineArea', { place, where, message }))
  }
  const { geometry } = parsed.data
  const properties = parsed.data.properties ?? {}
  const name = typeof properties.name === 'string' ? properties.name.trim() : ''
  const called = name === '' ? place : `${place} ("${name}")`
  const given = properties.height_m ?? properties.height
  if (given === undefined || given === null || given === '') {
    throw new PilotError(say('obstacle.hasNoHeightGive', { called }))
  }
  const heightM = typeof given === 'string' ? Number(given.replace(/\s*m$/, '')) : Number(given)
  if (!(heightM > 0 && heightM <= MAX_OBSTACLE_M)) {
    throw new PilotError(
      say('obstacle.hasHeightGiveMetres', {
        called,
        given: String(given),
        tallestM: MAX_OBSTACLE_M,
      }),
    )
  }
  const kind = OBSTACLE_KINDS.find((known) => known === properties.kind) ?? usualKind(geometry)
  return { name: name === '' ? `${capital(kind)} ${number}` : name, kind, heightM, geometry }
}

/** What a shape most likely is; of a bare line the worst is assumed. */
function usualKind({ type }: Geometry): ObstacleKind {
  if (type.endsWith('Point')) return 'mast'
  return type.endsWith('LineString') ? 'wire' : 'wood'
}

function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1)
}
