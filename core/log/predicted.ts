import { PilotError } from '../errors'
import type { Plan } from '../plan/plan'
import { launchOf } from '../plan/reckoning'
import { AirColumns } from '../route/airColumns'
import type { Site } from '../surface/site'
import { groundAt, isInside } from '../terrain/grid'
import { say } from '../words/say'
import type { FlightLog } from './flightLog'

/** What the air on the way to an aircraft is, from best to worst. */
export const WAY_KINDS = ['clear', 'obstructed', 'blocked'] as const
export type WayKind = (typeof WAY_KINDS)[number]
/** Where nothing is known: off the terrain, or behind missing data. */
export const NO_WAY = 255

export type LinkRole = 'video' | 'control'

/** What was predicted for every entry of a log. */
export interface Predicted {
  /** Of the aircraft, above sea level and above ground. */
  readonly amslM: Float64Array
  readonly aglM: Float64Array
  /** Index in WAY_KINDS, or NO_WAY. */
  readonly kind: Uint8Array
  /** Level at the receiver without any excess loss, dBm; NaN where nothing is known. */
  readonly levelDbm: Float64Array
  /** What was added to the logged heights, metres. */
  readonly liftedM: number
  /** Entries so far under the ground that their heights cannot be right; nothing is known of them. */
  readonly underGround: number
}

/** Loggers err by this much besides the terrain, metres. */
const DEEPEST_M = 15
/** Lower than this no antenna flies, metres above ground. */
const LEAST_AGL_M = 0.3

/**
 * What a plan's link predicts along a flight.
 * @param isPutOnGround true where the heights of the log are shifted so that its first one lies on
 *   the ground; else those over the start are taken over the launch point
 * @param errorM vertical error of the terrain: heights farther below ground cannot be
 * Throws a PilotError where the launch point has no ground, or the flight none of this terrain.
 */
export function predictAlong(
  site: Site,
  plan: Plan,
  log: FlightLog,
  role: LinkRole,
  isPutOnGround: boolean,
  errorM: number,
): Predicted {
  const { terrain, locator, surface } = site
  const count = log.timeS.length
  const places = Array.from({ length: count }, (_, i) =>
    locator.toGrid({ latDeg: log.latDeg[i], lonDeg: log.lonDeg[i] }),
  )
  if (!places.some((place) => isInside(terrain, place))) {
    throw new PilotError(say('predicted.flightLiesOffTerrain'))
  }
  const first = log.heightM.findIndex((height) => !Number.isNaN(height))
  if (first < 0) throw new PilotError(say('predicted.logHasNoHeights'))
  const launch = launchOf(site, plan)
  const startM = groundAt(terrain, places[first])
  if (isPutOnGround && Number.isNaN(startM)) {
    throw new PilotError(say('predicted.flightStartsOffTerrain'))
  }
  const overStart = log.heightOver === 'start' ? launch.groundM : 0
  const liftedM = isPutOnGround ? startM - log.heightM[first] : overStart
  const link = { ...plan[role], excessLossDb: 0 }
  const seen = { ...surface, clearingM: plan.clearingM }
  const radio = { ...plan.radio, frequencyMhz: link.frequencyMhz }
  const columns = new AirColumns(terrain, locator, seen, launch, radio, [link])
  const amslM = log.heightM.map((height) => height + liftedM)
  const aglM = new Float64Array(count).fill(NaN)
  const kind = new Uint8Array(count).fill(NO_WAY)
  const levelDbm = new Float64Array(count).fill(NaN)
  let underGround = 0
  for (let i = 0; i < count; i++) {
    const heightM = amslM[i] - groundAt(terrain, places[i])
    if (Number.isNaN(heightM)) continue
    if (heightM < -errorM - DEEPEST_M) {
      underGround++
      continue
    }
    aglM[i] = Math.max(LEAST_AGL_M, heightM)
    const { sightM, fresnelM, marginsDb } = columns.over(places[i], aglM[i])
    if (Number.isNaN(sightM)) continue
    kind[i] = aglM[i] < sightM ? 2 : aglM[i] < fresnelM ? 1 : 0
    levelDbm[i] = marginsDb[0] + link.sensitivityDbm
  }
  return { amslM, aglM, kind, levelDbm, liftedM, underGround }
}
