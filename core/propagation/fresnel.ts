/**
 * Share of the first Fresnel zone's radius that is usually wanted free of obstacles.
 * Source: Rec. ITU-R P.526 (diffraction loss is negligible from 0.6 F1 up) and P.530.
 */
export const USUAL_FRESNEL_FRACTION = 0.6

/**
 * Radius of the first Fresnel zone in metres, at d1 from one end of a path and d2 from the other.
 * Source: Rec. ITU-R P.526, sqrt(lambda d1 d2 / (d1 + d2)).
 */
export function firstFresnelRadiusM(d1M: number, d2M: number, wavelengthM: number): number {
  return Math.sqrt((wavelengthM * d1M * d2M) / (d1M + d2M))
}
