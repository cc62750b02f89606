import type { LatLon } from '../geodesy/earth'

/** A position with its height above sea level, where one was given. */
export interface Spot extends LatLon {
  readonly amslM: number | null
  /** Its own name, such as a waypoint's; empty for none. */
  readonly name: string
}

/** Something on the map that another program gave or gets: the common ground of all formats. */
export interface MapFeature {
  readonly kind: 'point' | 'line' | 'area'
  readonly name: string
  readonly note: string
  /** One for a point; corners of an area without the first again at the end. */
  readonly spots: readonly Spot[]
}

/** Features of a file and how many of it could not be used. */
export interface FeatureFile {
  readonly features: readonly MapFeature[]
  /** Sentences on what was left out. */
  readonly remarks: readonly string[]
}

/** More positions than this in one file are a survey, not a plan. */
export const MOST_SPOTS = 1_000_000

/** Corners of a ring, without the first again at the end where it is there. */
export function openRing(spots: readonly Spot[]): readonly Spot[] {
  const [first, last] = [spots[0], spots.at(-1)]
  const isClosed = spots.length > 1 && first.latDeg === last?.latDeg && first.lonDeg === last.lonDeg
  return isClosed ? spots.slice(0, -1) : spots
}

export function isOnEarth({ latDeg, lonDeg }: LatLon): boolean {
  return Math.abs(latDeg) <= 90 && Math.abs(lonDeg) <= 180
}
