import { WGS84_FLATTENING, WGS84_SEMI_MAJOR_M, type LatLon } from './earth'

const DEG = Math.PI / 180
const SEMI_MINOR_M = WGS84_SEMI_MAJOR_M * (1 - WGS84_FLATTENING)
/** Second eccentricity squared times the semi-minor axis squared, over it: (a^2 - b^2) / b^2. */
const SECOND_ECCENTRICITY_SQ = (WGS84_SEMI_MAJOR_M ** 2 - SEMI_MINOR_M ** 2) / SEMI_MINOR_M ** 2

export interface Geodesic {
  /** Length of the shortest line over the ellipsoid, metres. */
  readonly distanceM: number
  /** Azimuth at the first point, degrees clockwise from true north, 0 to 360. */
  readonly bearingDeg: number
}

/**
 * Shortest line between two positions on WGS 84.
 * Source: T. Vincenty, Survey Review XXIII/176 (1975), inverse formula; good to about a
 * millimetre at any length flown here. It does not converge for nearly opposite points of the
 * globe, where this throws a RangeError: no site is that large.
 */
export function geodesic(from: LatLon, to: LatLon): Geodesic {
  const f = WGS84_FLATTENING
  const lonDifference = normalizeLonDeg(to.lonDeg - from.lonDeg) * DEG
  const u1 = Math.atan((1 - f) * Math.tan(from.latDeg * DEG))
  const u2 = Math.atan((1 - f) * Math.tan(to.latDeg * DEG))
  const [sinU1, cosU1, sinU2, cosU2] = [Math.sin(u1), Math.cos(u1), Math.sin(u2), Math.cos(u2)]

  let lambda = lonDifference
  for (let iteration = 0; iteration < 100; iteration++) {
    const sinLambda = Math.sin(lambda)
    const cosLambda = Math.cos(lambda)
    const eastward = cosU2 * sinLambda
    const northward = cosU1 * sinU2 - sinU1 * cosU2 * cosLambda
    const sinSigma = Math.hypot(eastward, northward)
    if (sinSigma === 0) return { distanceM: 0, bearingDeg: 0 }
    const cosSigma = sinU1 * sinU2 + cosU1 * cosU2 * cosLambda
    const sigma = Math.atan2(sinSigma, cosSigma)
    const sinAlpha = (cosU1 * cosU2 * sinLambda) / sinSigma
    const cosSqAlpha = 1 - sinAlpha * sinAlpha
    const cos2SigmaM = cosSqAlpha === 0 ? 0 : cosSigma - (2 * sinU1 * sinU2) / cosSqAlpha
    const c = (f / 16) * cosSqAlpha * (4 + f * (4 - 3 * cosSqAlpha))
    const previous = lambda
    lambda =
      lonDifference +
      (1 - c) *
        f *
        sinAlpha *
        (sigma + c * sinSigma * (cos2SigmaM + c * cosSigma * (2 * cos2SigmaM ** 2 - 1)))
    if (Math.abs(lambda - previous) > 1e-13) continue

    const uSq = cosSqAlpha * SECOND_ECCENTRICITY_SQ
    const a = 1 + (uSq / 16384) * (4096 + uSq * (-768 + uSq * (320 - 175 * uSq)))
    const b = (uSq / 1024) * (256 + uSq * (-128 + uSq * (74 - 47 * uSq)))
    const deltaSigma =
      b *
      sinSigma *
      (cos2SigmaM +
        (b / 4) *
          (cosSigma * (2 * cos2SigmaM ** 2 - 1) -
            (b / 6) * cos2SigmaM * (4 * sinSigma ** 2 - 3) * (4 * cos2SigmaM ** 2 - 3)))
    const bearing = Math.atan2(eastward, northward) / DEG
    return { distanceM: SEMI_MINOR_M * a * (sigma - deltaSigma), bearingDeg: (bearing + 360) % 360 }
  }
  throw new RangeError('The two positions are nearly opposite on the globe.')
}

/** The same longitude between -180 and 180 degrees. */
export function normalizeLonDeg(lonDeg: number): number {
  return lonDeg - 360 * Math.round(lonDeg / 360)
}
