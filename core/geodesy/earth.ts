/** WGS 84 defining parameters (EPSG ellipsoid 7030). */
export const WGS84_SEMI_MAJOR_M = 6378137
export const WGS84_FLATTENING = 1 / 298.257223563

/** Mean Earth radius of the propagation Recommendations (Rec. ITU-R P.452 and P.1812: 6371 km). */
export const EARTH_RADIUS_M = 6371000

/** Effective Earth radius factor of a standard atmosphere (Rec. ITU-R P.310: k = 4/3). */
export const STANDARD_K_FACTOR = 4 / 3

/** A position on WGS 84, in degrees. */
export interface LatLon {
  readonly latDeg: number
  readonly lonDeg: number
}

/**
 * Height in metres by which the curved Earth rises above the chord of a path, at d1 from one
 * end and d2 from the other, both in metres: d1*d2/(2kR). With distances in kilometres this is
 * the handbook's d1*d2/(12.74 k).
 */
export function earthBulgeM(d1M: number, d2M: number, kFactor: number): number {
  return (d1M * d2M) / (2 * kFactor * EARTH_RADIUS_M)
}
