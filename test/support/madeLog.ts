import type { Plan } from '../../core/plan/plan'
import { reckon } from '../../core/plan/reckoning'
import { pathProfile } from '../../core/propagation/path'
import { pathBudget } from '../../core/radio/pathBudget'
import { siteOf, type Site } from '../../core/surface/site'
import { groundAt, type TerrainGrid } from '../../core/terrain/grid'

/** What a made flight differs from its plan by. */
export interface Truth {
  /** Lost beyond what is computed, dB, and the noise on it (one standard deviation). */
  readonly excessDb: number
  readonly noiseDb: number
  /** Share of levels that drop by 12 to 40 dB, or rise where they may. */
  readonly dropShare?: number
  readonly dropsRise?: boolean
  /** Times the current of the plan, and the noise on it as a share. */
  readonly currentFactor: number
  readonly currentNoise: number
  /** Correlation of the noise from one entry to the next. */
  readonly correlation?: number
  /** What the receiver shows where nothing arrives, dBm. */
  readonly floorDbm?: number
  readonly seed: number
}

export interface MadeEntry {
  readonly timeS: number
  readonly latDeg: number
  readonly lonDeg: number
  readonly amslM: number
  readonly levelDbm: number
  readonly volts: number
  readonly amps: number
  readonly takenMah: number
}

/** A moment of a flight that goes as it was planned. */
interface PlannedMoment {
  readonly timeS: number
  readonly latDeg: number
  readonly lonDeg: number
  readonly amslM: number
  readonly levelDbm: number
  readonly volts: number
  readonly amps: number
}

/** A flight along the route of a plan as it was planned, looked at every so often. */
export function plannedFlight(site: Site, plan: Plan, everyS: number): PlannedMoment[] {
  const { line, flight } = reckon(site, plan)
  const moments: PlannedMoment[] = []
  const last = line.distanceM.length - 1
  let sample = 0
  for (let time = flight.timeS[0]; time <= flight.timeS[last]; time += everyS) {
    while (flight.timeS[sample + 1] <= time) sample++
    const [a, b] = [sample, Math.min(sample + 1, last)]
    const span = flight.timeS[b] - flight.timeS[a]
    const t = span > 0 ? (time - flight.timeS[a]) / span : 0
    const mix = (values: Float64Array) => values[a] + (values[b] - values[a]) * t
    const at = { col: mix(line.cols), row: mix(line.rows) }
    const place = site.locator.toLatLon(at)
    const amslM = mix(line.flownM)
    moments.push({
      timeS: time,
      ...place,
      amslM,
      levelDbm: levelAt(site, plan, place, amslM - groundAt(site.terrain, at)),
      volts: flight.volts[b],
      amps: span > 0 ? ((flight.takenMah[b] - flight.takenMah[a]) * 3.6) / span : 0,
    })
  }
  return moments
}

/** What a logger wrote of a flight with a known truth in it. */
export function recorded(flown: readonly PlannedMoment[], truth: Truth): MadeEntry[] {
  const random = generator(truth.seed)
  const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())
  const rho = truth.correlation ?? 0
  let [signalNoise, currentNoise] = [normal(), normal()]
  let takenMah = 0
  return flown.map((moment, i): MadeEntry => {
    signalNoise = rho * signalNoise + Math.sqrt(1 - rho * rho) * normal()
    currentNoise = rho * currentNoise + Math.sqrt(1 - rho * rho) * normal()
    const drop = random() < (truth.dropShare ?? 0) ? 12 + 28 * random() : 0
    const amps = moment.amps * truth.currentFactor * (1 + truth.currentNoise * currentNoise)
    if (i > 0) takenMah += (amps * (moment.timeS - flown[i - 1].timeS)) / 3.6
    const level = moment.levelDbm - truth.excessDb + truth.noiseDb * signalNoise
    return {
      ...moment,
      levelDbm: Math.max(truth.floorDbm ?? -112, level - (truth.dropsRise ? -drop : drop)),
      amps,
      takenMah,
    }
  })
}

/** The level that a whole profile predicts, dBm: another way than the one that is tested. */
function levelAt(
  { terrain, surface }: Site,
  plan: Plan,
  at: { latDeg: number; lonDeg: number },
  heightM: number,
): number {
  const from = { ...plan.launch, label: 'launch', heightM: plan.antennaHeightM }
  const seen = { ...surface, clearingM: plan.clearingM }
  try {
    const path = pathProfile(terrain, from, { ...at, label: 'aircraft', heightM }, plan.radio, seen)
    return pathBudget(path, plan.video, plan.radio.kFactor, plan.foliage).receivedDbm
  } catch {
    // Right over the launch point there is no path.
    return NaN
  }
}

/** The entries as a table that many programs could have written. */
export function logCsv(entries: readonly MadeEntry[]): string {
  const lines = entries.map(({ timeS, latDeg, lonDeg, amslM, levelDbm, volts, amps, takenMah }) =>
    [
      Math.round(timeS * 1000),
      latDeg.toFixed(7),
      lonDeg.toFixed(7),
      amslM.toFixed(2),
      Number.isNaN(levelDbm) ? '' : levelDbm.toFixed(2),
      volts.toFixed(3),
      amps.toFixed(3),
      takenMah.toFixed(1),
    ].join(','),
  )
  return ['time_ms,lat,lon,gps alt (m),rssi (dBm),vbat,curr (A),used (mAh)', ...lines].join('\n')
}

/** Numbers from 0 to 1 that are the same every time (Park and Miller). */
function generator(seed: number): () => number {
  let state = seed
  return () => {
    state = (state * 48_271) % 2_147_483_647
    return state / 2_147_483_647
  }
}

/** The log of a plan flown with a known excess loss and a thirstier aircraft, as CSV. */
export function usualLogCsv(terrain: TerrainGrid, plan: Plan): string {
  return logCsv(
    recorded(plannedFlight(siteOf(terrain, plan, null), plan, 1), {
      excessDb: 5,
      noiseDb: 2,
      currentFactor: 1.1,
      currentNoise: 0.05,
      seed: 5,
    }),
  )
}
