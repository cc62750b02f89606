import type { LineString, Polygon } from 'geojson'
import { USUAL_BRIEF } from '../../core/brief/briefSetup'
import type { LatLon } from '../../core/geodesy/earth'
import type { Plan } from '../../core/plan/plan'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { TYPICAL_AIRCRAFT } from '../../core/energy/aircraft'
import { TYPICAL_BATTERY } from '../../core/energy/battery'
import { CALM } from '../../core/energy/wind'
import { USUAL_LIMITS } from '../../core/route/corridor'
import { NO_ROUTE } from '../../core/route/route'
import { NO_LANDING } from '../../core/landing/landingArea'
import { History } from './history'

/** What the pilot has set up on a site, the plan and how they look at it; all can be undone. */
export interface Setup extends Plan {
  /** Where the path from the launch point is looked at; null for nowhere. */
  readonly target: LatLon | null
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
  video: VIDEO_PRESETS[1],
  control: CONTROL_PRESETS[0],
  foliage: 'solid',
  nearby: { separationM: 1, harmonicSuppressionDb: 50, channelWidthMhz: 20 },
  route: NO_ROUTE,
  limits: USUAL_LIMITS,
  aircraft: TYPICAL_AIRCRAFT,
  battery: TYPICAL_BATTERY,
  wind: CALM,
  airspeedMs: null,
  landing: NO_LANDING,
  brief: USUAL_BRIEF,
  places: [],
}

export const setupHistory = new History<Setup>(DEFAULT_SETUP)
export const setup = setupHistory.value

/** Changes part of the setup. See History.change for gestures. */
export function changeSetup(part: Partial<Setup>, gesture: string | null = null): void {
  setupHistory.change({ ...setup.value, ...part }, gesture)
}
