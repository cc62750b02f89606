import { z } from 'zod'
import type { LatLon } from '../geodesy/earth'
import type { Unknown } from './unknown'

/** Places a plan keeps besides those that it is flown by; as roles in its file. */
export const KEPT_KINDS = ['col', 'other launch point'] as const
export type KeptKind = (typeof KEPT_KINDS)[number]

/** A col to cross, or another place to stand, that the pilot wants to find again. */
export interface KeptPlace extends LatLon {
  readonly kind: KeptKind
  readonly name: string
  /** What its file says beyond this. */
  readonly unknown?: Unknown
}

export const keptPlaceFeature = z.object({
  type: z.literal('Feature'),
  geometry: z.object({
    type: z.literal('Point'),
    coordinates: z
      .tuple([z.number().min(-180).max(180), z.number().min(-90).max(90)])
      .rest(z.number()),
  }),
  properties: z.object({ role: z.enum(KEPT_KINDS), name: z.string().min(1) }),
})

export function keptPlaceFile({ kind, name, latDeg, lonDeg }: KeptPlace): object {
  return {
    type: 'Feature',
    geometry: { type: 'Point', coordinates: [lonDeg, latDeg] },
    properties: { role: kind, name },
  }
}

export function keptPlaceOf({
  geometry,
  properties,
}: z.output<typeof keptPlaceFeature>): KeptPlace {
  const [lonDeg, latDeg] = geometry.coordinates
  return { kind: properties.role, name: properties.name, latDeg, lonDeg }
}
