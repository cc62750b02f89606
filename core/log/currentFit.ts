import { PowerModel } from '../energy/aircraft'
import { Pack } from '../energy/battery'
import { windSpeedMs } from '../energy/wind'
import { PilotError } from '../errors'
import type { Plan } from '../plan/plan'
import { motionOf, type FlightLog } from './flightLog'
import type { Predicted } from './predicted'
import { say } from '../words/say'
import { measuredS, robustFit, SHORTEST_S, type Fit } from './robust'

/** Climbing or sinking faster than this is no level flight, m/s. */
const LEVEL_MS = 1
/** Slower than this over ground is no cruise, m/s. */
const LEAST_CRUISE_MS = 3
/** Legs take minutes: their currents scatter as the means of so many seconds do. */
const BLOCK_S = 60
/** Fewer such means have no scatter of their own. */
const FEWEST_BLOCKS = 5
const AS_PER_MAH = 3.6
/** Seconds on each side over which a current is taken from the charge. */
const CHARGE_REACH_S = 8

/**
 * Charge taken since the log began until every entry, mAh: as logged where that rises, else added
 * up from the current; NaN for neither.
 */
export function chargeAlong({ timeS, takenMah, amps }: FlightLog): Float64Array {
  const known = takenMah.filter((mah) => !Number.isNaN(mah))
  const [first, last] = [known[0], known[known.length - 1]]
  if (known.length > timeS.length / 2 && last > first) return takenMah.map((mah) => mah - first)
  if (amps.every(Number.isNaN)) return new Float64Array(timeS.length).fill(NaN)
  let taken = 0
  let before = NaN
  return timeS.map((time, i) => {
    const now = Number.isNaN(amps[i]) ? before : amps[i]
    if (i > 0 && !Number.isNaN(now)) {
      const mean = ((Number.isNaN(before) ? now : before) + now) / 2
      taken += mean * ((time - timeS[i - 1]) / AS_PER_MAH)
    }
    before = now
    return taken
  })
}

/** Current at every entry, amperes: as logged, else from the charge around it. */
export function currentAlong({ timeS, takenMah, amps }: FlightLog): Float64Array {
  if (amps.some((ampere) => !Number.isNaN(ampere))) return amps
  let [before, after] = [0, 0]
  return timeS.map((time, i) => {
    while (timeS[before + 1] <= time - CHARGE_REACH_S) before++
    while (after < timeS.length - 1 && timeS[after] < time + CHARGE_REACH_S) after++
    const seconds = timeS[after] - timeS[before]
    if (i === 0 || seconds < CHARGE_REACH_S) return NaN
    return ((takenMah[after] - takenMah[before]) * AS_PER_MAH) / seconds
  })
}

/** The currents of an aircraft as a flight shows them. */
export interface CurrentFit extends Fit {
  /** Airspeed and current of the cruise in the middle of what was flown. */
  readonly airspeedMs: number
  readonly measuredA: number
  readonly plannedA: number
  /** Scatter of the means of a minute, as a share. */
  readonly spreadShare: number
  /** True where most of the cruise led one way: then an error of the wind is an error of the fit. */
  readonly isOneWay: boolean
}

/**
 * Fits how many times the current of level flight that an aircraft is said to draw was drawn.
 * Airspeeds are those over ground less the wind of the plan. Where the log has the voltage, powers
 * are compared, else the currents that the plan's pack would give.
 * Throws a PilotError where too little of the flight was cruise.
 */
export function fitCurrent(plan: Plan, log: FlightLog, { amslM, aglM }: Predicted): CurrentFit {
  const { aircraft, battery, wind } = plan
  const power = new PowerModel(aircraft, battery.cells)
  const pack = new Pack(battery)
  const { speedMs, trackDeg, climbMs } = motionOf(log)
  const amps = currentAlong(log)
  const charge = chargeAlong(log)
  const taken: Moment[] = []
  for (let i = 0; i < amps.length; i++) {
    const isLevel = Math.abs(climbMs[i]) <= LEVEL_MS && speedMs[i] >= LEAST_CRUISE_MS
    if (!isLevel || !(amps[i] > 0)) continue
    const airspeedMs = airspeedOf(speedMs[i], trackDeg[i], windSpeedMs(wind, aglM[i]), wind.fromDeg)
    // What little it climbs costs as well.
    const watts = power.levelW(airspeedMs, amslM[i]) + power.climbJ(climbMs[i])
    const spent = Number.isNaN(charge[i]) ? 0 : charge[i]
    const volts = log.volts[i]
    const plannedA = volts > 0 ? watts / volts : pack.currentA(watts, spent)
    if (!(plannedA > 0)) continue
    taken.push({
      ratio: amps[i] / plannedA,
      timeS: log.timeS[i],
      trackDeg: trackDeg[i],
      airspeedMs,
      plannedA,
    })
  }
  const times = Float64Array.from(taken, ({ timeS }) => timeS)
  const cruiseS = measuredS(times)
  if (cruiseS < SHORTEST_S) {
    throw new PilotError(
      say('currentFit.logHasSLevel', { cruiseS: cruiseS.toFixed(0), shortestS: SHORTEST_S }),
    )
  }
  const ratios = Float64Array.from(taken, ({ ratio }) => ratio)
  const fit = robustFit({ timeS: times, values: ratios })
  const middle = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1]
  const airspeedMs = middle(taken.map((one) => one.airspeedMs))
  const plannedA = middle(taken.map((one) => one.plannedA))
  return {
    ...fit,
    airspeedMs,
    plannedA,
    measuredA: plannedA * fit.value,
    spreadShare: spreadOfMinutes(taken, fit) / fit.value,
    isOneWay: isOneWay(taken.map((one) => one.trackDeg)),
  }
}

/** A moment of level cruise. */
interface Moment {
  readonly ratio: number
  readonly timeS: number
  readonly trackDeg: number
  readonly airspeedMs: number
  readonly plannedA: number
}

/** The mean of unit vectors along tracks is longer than this where most lead one way. */
const ONE_WAY = 0.7

function isOneWay(tracksDeg: readonly number[]): boolean {
  let [east, north] = [0, 0]
  for (const track of tracksDeg) {
    east += Math.sin((track * Math.PI) / 180)
    north += Math.cos((track * Math.PI) / 180)
  }
  return Math.hypot(east, north) / tracksDeg.length > ONE_WAY
}

/** Speed through the air of an aircraft that moves over ground in a wind. */
export function airspeedOf(
  groundSpeedMs: number,
  trackDeg: number,
  windMs: number,
  windFromDeg: number,
): number {
  const [track, from] = [trackDeg, windFromDeg].map((degrees) => (degrees * Math.PI) / 180)
  return Math.hypot(
    groundSpeedMs * Math.sin(track) + windMs * Math.sin(from),
    groundSpeedMs * Math.cos(track) + windMs * Math.cos(from),
  )
}

/** How far the means of a minute scatter around the fit; that of single moments where few are. */
function spreadOfMinutes(
  taken: readonly { readonly ratio: number; readonly timeS: number }[],
  { value, scatter }: Fit,
): number {
  const minutes = new Map<number, number[]>()
  for (const { ratio, timeS } of taken) {
    // What is far off is no matter of the cruise.
    if (Math.abs(ratio - value) > 3 * scatter) continue
    const minute = Math.floor(timeS / BLOCK_S)
    const inside = minutes.get(minute)
    if (inside) inside.push(ratio)
    else minutes.set(minute, [ratio])
  }
  const means = [...minutes.values()].map(
    (ratios) => ratios.reduce((sum, ratio) => sum + ratio, 0) / ratios.length,
  )
  if (means.length < FEWEST_BLOCKS) return scatter
  return Math.sqrt(means.reduce((sum, mean) => sum + (mean - value) ** 2, 0) / (means.length - 1))
}
