import type { Sector } from '../../core/coverage/clearHeights'
import type { LatLon } from '../../core/geodesy/earth'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import type { RadioSettings } from '../../core/propagation/path'
import { History } from './history'

/** What the pilot has set up on a site; every change can be undone. */
export interface Setup {
  readonly launch: LatLon
  readonly antennaHeightM: number
  readonly flyingHeightM: number
  readonly radio: RadioSettings
  /** Farthest ground distance looked at, metres; null for the whole terrain. */
  readonly radiusM: number | null
  /** Part of the horizon the ground antenna covers; null for all around. */
  readonly sector: Sector | null
  /** Where the path from the launch point is looked at; null for nowhere. */
  readonly target: LatLon | null
}

export const DEFAULT_SETUP: Setup = {
  launch: { latDeg: 0, lonDeg: 0 },
  antennaHeightM: 2,
  flyingHeightM: 60,
  radio: {
    frequencyMhz: 5800,
    kFactor: STANDARD_K_FACTOR,
    fresnelFraction: USUAL_FRESNEL_FRACTION,
  },
  radiusM: null,
  sector: null,
  target: null,
}

export const setupHistory = new History<Setup>(DEFAULT_SETUP)
export const setup = setupHistory.value

/** Changes part of the setup. See History.change for gestures. */
export function changeSetup(part: Partial<Setup>, gesture: string | null = null): void {
  setupHistory.change({ ...setup.value, ...part }, gesture)
}
