import type { Sector } from '../../core/coverage/clearHeights'
import type { LineString, Polygon } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import type { RadioSettings } from '../../core/propagation/path'
import type { Obstacle } from '../../core/surface/obstacle'
import type { Vegetation } from '../../core/surface/surface'
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
  readonly vegetation: Vegetation
  /** Ground distance from the launch point within which no vegetation counts, metres. */
  readonly clearingM: number
  readonly obstacles: readonly Obstacle[]
  /** Vertical error of the terrain, metres; null for the usual one of its kind. */
  readonly errorM: number | null
  /** The line or area over which the clear heights are read; null for none. */
  readonly reading: LineString | Polygon | null
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
  vegetation: { heightM: 0, treeLineM: null },
  clearingM: 60,
  obstacles: [],
  errorM: null,
  reading: null,
}

export const setupHistory = new History<Setup>(DEFAULT_SETUP)
export const setup = setupHistory.value

/** Changes part of the setup. See History.change for gestures. */
export function changeSetup(part: Partial<Setup>, gesture: string | null = null): void {
  setupHistory.change({ ...setup.value, ...part }, gesture)
}
