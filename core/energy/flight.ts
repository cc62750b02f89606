import type { Leg, RouteLine } from '../route/routeLine'
import { PowerModel, type Aircraft } from './aircraft'
import { Pack, type Battery } from './battery'
import { checkWind, windSpeedMs, windTriangle, type Wind, type WindTriangle } from './wind'
import { say } from '../words/say'
import { formatNumber } from '../words/units'
import { checkWithin } from '../errors'

/** What flies, on what, in which wind. */
export interface FlightSettings {
  readonly aircraft: Aircraft
  readonly battery: Battery
  readonly wind: Wind
  /** Airspeed of every leg, m/s; null for the one of least charge per kilometre on each. */
  readonly airspeedMs: number | null
}

/** What a leg takes. */
export interface LegFlight {
  readonly airspeedMs: number
  /** In the middle of the leg. */
  readonly triangle: WindTriangle
  /** With the loiter over the place it leads to. */
  readonly timeS: number
  readonly climbM: number
  readonly mah: number
  /** Share of what is usable that is left at its end, and the voltage of the pack under load. */
  readonly leftShare: number
  readonly volts: number
}

/** A route as flown: parallel arrays, one entry a sample of its line. */
export interface Flight {
  /** Since the motors started; NaN beyond a leg that cannot be flown. */
  readonly timeS: Float64Array
  readonly takenMah: Float64Array
  /** Voltage of the pack under load. */
  readonly volts: Float64Array
  /** By leg; a sentence where it cannot be flown, and for those behind it. */
  readonly legs: readonly (LegFlight | string)[]
  /** Charge of the take-off alone. */
  readonly takeOffMah: number
  /** After the landing, for a route that ends over the launch point; null for others. */
  readonly landed: { readonly timeS: number; readonly takenMah: number } | null
  /** First sample at which the pack is below its least voltage under load; null for none. */
  readonly sagSample: number | null
}

/** How many airspeeds are tried for the best. */
const TRIED_SPEEDS = 120

/** Where in the air: above ground, and above sea level, metres. */
export interface Height {
  readonly aglM: number
  readonly amslM: number
}

/** State of a flight at one moment. */
export interface Moment {
  readonly timeS: number
  readonly takenMah: number
  /** Power of what was done last, watts. */
  readonly powerW: number
}

/** Flies: one aircraft with one pack in one wind. */
export class Flyer {
  readonly pack: Pack
  private readonly power: PowerModel

  /** Throws a PilotError that names the first value that cannot be. */
  constructor(private readonly settings: FlightSettings) {
    const { aircraft, battery, wind, airspeedMs } = settings
    this.pack = new Pack(battery)
    this.power = new PowerModel(aircraft, battery.cells)
    checkWind(wind)
    const { slowestMs, fastestMs } = this.power
    if (airspeedMs !== null)
      checkWithin({ key: 'aircraft.airspeedLimit' }, airspeedMs, [0.5, fastestMs], 'm/s')
    this.speeds =
      airspeedMs !== null || slowestMs === fastestMs
        ? [airspeedMs ?? fastestMs]
        : Array.from(
            { length: TRIED_SPEEDS + 1 },
            (_, i) => slowestMs + ((fastestMs - slowestMs) * i) / TRIED_SPEEDS,
          )
  }

  private readonly speeds: readonly number[]

  /** Wind so high above ground. */
  windMs(aglM: number): number {
    return windSpeedMs(this.settings.wind, aglM)
  }

  /** How a track is held at an airspeed; null where it cannot be. */
  triangle(trackDeg: number, aglM: number, airspeedMs: number): WindTriangle | null {
    return windTriangle(trackDeg, airspeedMs, this.windMs(aglM), this.settings.wind.fromDeg)
  }

  /** The airspeed that takes least per kilometre over ground; null where none gets anywhere. */
  bestAirspeedMs(trackDeg: number, aglM: number): number | null {
    let best: number | null = null
    let least = Infinity
    for (const speed of this.speeds) {
      const found = this.triangle(trackDeg, aglM, speed)
      if (!found) continue
      // How thin the air is makes no difference to which is best.
      const cost = this.power.levelW(speed, 0) / found.groundSpeedMs
      if (cost < least) [best, least] = [speed, cost]
    }
    return best
  }

  /** Power of level flight at an airspeed, watts. */
  levelW(airspeedMs: number, amslM: number): number {
    return this.power.levelW(airspeedMs, amslM)
  }

  /** Power of staying over one place, watts; NaN where the wind is stronger than the aircraft. */
  holdW({ aglM, amslM }: Height): number {
    return this.power.levelW(this.windMs(aglM), amslM)
  }

  /** Draws so much power for so long. */
  draw(at: Moment, powerW: number, seconds: number): Moment {
    if (seconds <= 0) return at
    return {
      timeS: at.timeS + seconds,
      takenMah: this.pack.drain(at.takenMah, powerW, seconds),
      powerW,
    }
  }

  /** Straight up or down over one place. */
  vertical(at: Moment, climbM: number, height: Height): Moment {
    const { climbMs, descentMs } = this.settings.aircraft
    const seconds = climbM > 0 ? climbM / climbMs : -climbM / descentMs
    if (seconds === 0) return at
    return this.draw(at, this.holdW(height) + this.power.climbJ(climbM) / seconds, seconds)
  }

  /** Over ground on a track, climbing or descending on the way; NaN where it cannot be flown. */
  along(
    at: Moment,
    distanceM: number,
    climbM: number,
    trackDeg: number,
    height: Height,
    airspeedMs: number,
  ): Moment {
    if (distanceM === 0) return this.vertical(at, climbM, height)
    const found = this.triangle(trackDeg, height.aglM, airspeedMs)
    if (!found) return { timeS: NaN, takenMah: NaN, powerW: NaN }
    const { climbMs, descentMs } = this.settings.aircraft
    const upright = climbM > 0 ? climbM / climbMs : -climbM / descentMs
    const seconds = Math.max(distanceM / found.groundSpeedMs, upright)
    return this.draw(
      at,
      this.levelW(airspeedMs, height.amslM) + this.power.climbJ(climbM) / seconds,
      seconds,
    )
  }

  /** Charge that may be taken with the reserve kept and the pack holding so much power, mAh. */
  budgetMah(powerW: number): number {
    return this.holdingMah(powerW, this.pack.budgetMah)
  }

  /** The same with the reserve spent as well. */
  budgetOfAllMah(powerW: number): number {
    return this.holdingMah(powerW, this.pack.usableMah)
  }

  /** The most of a charge at which the pack still holds a power. */
  private holdingMah(powerW: number, mostMah: number): number {
    if (this.pack.holds(powerW, mostMah)) return mostMah
    let [good, bad] = [0, mostMah]
    for (let i = 0; i < 20; i++) {
      const middle = (good + bad) / 2
      if (this.pack.holds(powerW, middle)) good = middle
      else bad = middle
    }
    return good
  }

  /** True where the flight may end like this: reserve kept, and a pack that still holds. */
  isEnough({ takenMah, powerW }: Moment): boolean {
    return takenMah <= this.pack.budgetMah && this.pack.holds(powerW, takenMah)
  }

  /** On the ground over the launch point, the motors running. */
  get start(): Moment {
    return { timeS: 0, takenMah: 0, powerW: 0 }
  }
}

/** Mean height of a leg over ground. */
export function meanAglM({ groundM, flownM }: RouteLine, { from, to }: Leg): number {
  let sum = 0
  for (let i = from.sample; i <= to.sample; i++) sum += flownM[i] - groundM[i]
  return sum / (to.sample - from.sample + 1)
}

/** Height of a sample of a line. */
export function heightAt({ groundM, flownM }: RouteLine, sample: number): Height {
  return { aglM: flownM[sample] - groundM[sample], amslM: flownM[sample] }
}

/** Flies a route from the launch point on. */
export function flyRoute(flyer: Flyer, line: RouteLine): Flight {
  const count = line.distanceM.length
  const timeS = new Float64Array(count).fill(NaN)
  const takenMah = new Float64Array(count).fill(NaN)
  const volts = new Float64Array(count).fill(NaN)
  const legs: (LegFlight | string)[] = []
  let sagSample: number | null = null
  const note = (sample: number, { timeS: time, takenMah: taken, powerW }: Moment) => {
    timeS[sample] = time
    takenMah[sample] = taken
    volts[sample] = flyer.pack.loadedV(powerW, taken)
    const isDrawing = time > 0 && powerW > 0
    if (sagSample === null && isDrawing && !flyer.pack.holds(powerW, taken)) sagSample = sample
  }
  const [launch] = line.stations
  const takeOffM = launch.amslM - launch.groundM
  const overLaunch = { aglM: takeOffM, amslM: launch.amslM }
  let at = flyer.vertical(flyer.start, takeOffM, overLaunch)
  const takeOffMah = at.takenMah
  note(0, at)
  let refusal = Number.isNaN(takeOffMah) ? refusalOf(at, say('flight.takeOff')) : null
  for (const leg of line.legs) {
    refusal ??= refusalOfLeg(flyer, line, leg)
    if (refusal !== null) {
      legs.push(refusal)
      continue
    }
    const aglM = meanAglM(line, leg)
    // Straight up or down has no track to hold.
    const isUpright = leg.distanceM === 0
    const speed = isUpright ? flyer.windMs(aglM) : (flyer.bestAirspeedMs(leg.bearingDeg, aglM) ?? 0)
    const begin = at
    let climbM = 0
    for (let i = leg.from.sample + 1; i <= leg.to.sample; i++) {
      const climb = line.flownM[i] - line.flownM[i - 1]
      climbM += Math.max(0, climb)
      const distance = line.distanceM[i] - line.distanceM[i - 1]
      at = flyer.along(at, distance, climb, leg.bearingDeg, heightAt(line, i), speed)
      note(i, at)
    }
    at = flyer.draw(at, flyer.holdW(heightAt(line, leg.to.sample)), leg.to.loiterS)
    // A station is left when the loiter is over: whoever turns there turns then.
    note(leg.to.sample, at)
    if (Number.isNaN(at.takenMah)) {
      refusal = refusalOf(at, nameOf(leg))
      legs.push(refusal)
      continue
    }
    const triangle = flyer.triangle(leg.bearingDeg, aglM, speed)
    legs.push({
      airspeedMs: speed,
      triangle: triangle ?? { groundSpeedMs: 0, headingDeg: leg.bearingDeg, correctionDeg: 0 },
      timeS: at.timeS - begin.timeS,
      climbM,
      mah: at.takenMah - begin.takenMah,
      leftShare: flyer.pack.leftShare(at.takenMah),
      volts: flyer.pack.loadedV(at.powerW, at.takenMah),
    })
  }
  const last = line.stations[line.stations.length - 1]
  const comesHome = last.waypoint === null && refusal === null
  const end = comesHome ? flyer.vertical(at, last.groundM - last.amslM, overLaunch) : null
  return {
    timeS,
    takenMah,
    volts,
    legs,
    takeOffMah,
    landed: end && { timeS: end.timeS, takenMah: end.takenMah },
    sagSample,
  }
}

const nameOf = (leg: Leg) => say('flight.leg', { label: leg.to.label })

/** Why a manoeuvre could not be flown: no power is known for it, or the pack cannot give it. */
function refusalOf({ powerW }: Moment, name: string): string {
  return Number.isNaN(powerW)
    ? say('flight.windStrongerThanAircraft', { name })
    : say('flight.packCannotGivePower', { name })
}

/** Why a leg cannot be flown at all; null where it can be tried. */
function refusalOfLeg(flyer: Flyer, line: RouteLine, leg: Leg): string | null {
  for (let i = leg.from.sample; i <= leg.to.sample; i++) {
    if (Number.isNaN(line.groundM[i])) {
      return say('flight.thereNoTerrainData', { leg: nameOf(leg) })
    }
  }
  const aglM = meanAglM(line, leg)
  if (leg.distanceM === 0 || flyer.bestAirspeedMs(leg.bearingDeg, aglM) !== null) return null
  const wind = formatNumber(flyer.windMs(aglM), 1)
  return say('flight.windMSHeight', { wind, leg: nameOf(leg) })
}
