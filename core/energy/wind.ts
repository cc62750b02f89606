import { checkWithin } from '../errors'

const DEG = Math.PI / 180

/** Wind over open ground and how it grows with height. */
export interface Wind {
  /** At the height at which it was measured or forecast, m/s. */
  readonly speedMs: number
  /** Where it comes from, degrees clockwise from true north. */
  readonly fromDeg: number
  /** Height above ground of that speed, metres; forecasts mean 10. */
  readonly atHeightM: number
  /**
   * Exponent of the growth with height: 0 for none. Common practice: the power law with 1/7 over
   * open ground in neutral air; ridges and valleys make winds of their own.
   */
  readonly exponent: number
}

export const CALM: Wind = { speedMs: 0, fromDeg: 0, atHeightM: 10, exponent: 1 / 7 }

export const WIND_LIMITS = { speedMs: [0, 60], exponent: [0, 1], atHeightM: [1, 500] } as const

/** Throws a PilotError that names the first value that cannot be. */
export function checkWind({ speedMs, exponent, atHeightM }: Wind): void {
  checkWithin({ key: 'wind.wind' }, speedMs, WIND_LIMITS.speedMs, 'm/s')
  checkWithin({ key: 'wind.heightWind' }, atHeightM, WIND_LIMITS.atHeightM, 'm')
  checkWithin({ key: 'wind.exponentWind' }, exponent, WIND_LIMITS.exponent, '')
}

/** Nearer to the ground the power law means nothing, metres. */
const LOWEST_M = 2

/** Speed of the wind so high above ground, m/s. */
export function windSpeedMs({ speedMs, atHeightM, exponent }: Wind, aglM: number): number {
  return speedMs * (Math.max(LOWEST_M, aglM) / atHeightM) ** exponent
}

/** How an aircraft holds its track in the wind. */
export interface WindTriangle {
  readonly groundSpeedMs: number
  /** Where the nose points, degrees clockwise from true north. */
  readonly headingDeg: number
  /** Heading less track: positive to the right. */
  readonly correctionDeg: number
}

/** Slower than this over ground nobody gets anywhere, m/s. */
const LEAST_GROUND_SPEED_MS = 0.5

/**
 * Solves the wind triangle; null where the track cannot be held or leads nowhere.
 * Source: the usual one of navigation, checked against a published example in
 * test/unit/energy.test.ts.
 */
export function windTriangle(
  trackDeg: number,
  airspeedMs: number,
  windMs: number,
  fromDeg: number,
): WindTriangle | null {
  const angle = (fromDeg - trackDeg) * DEG
  const across = windMs * Math.sin(angle)
  if (Math.abs(across) > airspeedMs) return null
  const correction = airspeedMs > 0 ? Math.asin(across / airspeedMs) : 0
  const groundSpeedMs = airspeedMs * Math.cos(correction) - windMs * Math.cos(angle)
  if (groundSpeedMs < LEAST_GROUND_SPEED_MS) return null
  const correctionDeg = correction / DEG
  return { groundSpeedMs, correctionDeg, headingDeg: (trackDeg + correctionDeg + 360) % 360 }
}
