import { PilotError } from '../errors'
import type { Link } from '../radio/link'
import { geodesic } from '../geodesy/geodesic'
import type { Plan } from '../plan/plan'
import { motionOf, REST_MS, type FlightLog } from './flightLog'
import { WAY_KINDS, type Predicted, type WayKind } from './predicted'
import { say } from '../words/say'
import { biweight, measuredS, robustFit, SHORTEST_S, type Fit, type TimedValues } from './robust'

/** Measured against predicted on one kind of way. */
export interface KindComparison {
  readonly kind: WayKind
  readonly count: number
  /** Predicted less measured, dB: above zero where the signal was weaker than computed. */
  readonly excessDb: number
  readonly scatterDb: number
}

/** Nearer to the launch point nothing is told of a link, metres. */
const NEAREST_M = 50
/** Levels this near to the highest or lowest of a log are its receiver's own bounds, dB. */
const BOUND_DB = 0.75
/** So many of the levels lie there where a receiver has such a bound. */
const BOUND_SHARE = 0.03

/** What a link lost beyond what was computed, dB; NaN where either is not known. */
export function excessAlong({ signalDbm }: FlightLog, { levelDbm }: Predicted): Float64Array {
  return signalDbm.map((measured, i) => levelDbm[i] - measured)
}

/** Measured against predicted, by kind of way; kinds never flown left out. */
export function compareByKind(log: FlightLog, predicted: Predicted): KindComparison[] {
  const excess = excessAlong(log, predicted)
  return WAY_KINDS.flatMap((kind, k): KindComparison[] => {
    const values = excess.filter((db, i) => predicted.kind[i] === k && !Number.isNaN(db))
    if (values.length === 0) return []
    const { value, scatter } = biweight(values)
    return [{ kind, count: values.length, excessDb: value, scatterDb: scatter }]
  })
}

/** The excess loss of a link as a flight shows it. */
export interface SignalFit extends Fit {
  /** Kinds of way it was taken from. */
  readonly from: readonly WayKind[]
}

/**
 * Fits the excess loss of a link: over clear ways where there are enough, else over all in sight.
 * Behind ground the diffraction model errs as well, so that tells nothing of the link. Left out
 * are moments at rest and close to the launch point, levels predicted under the sensitivity, and
 * those whose prediction is at the bounds of what the receiver shows.
 * Throws a PilotError where too little is left.
 */
export function fitSignal(
  log: FlightLog,
  predicted: Predicted,
  plan: Pick<Plan, 'launch'>,
  link: Link,
): SignalFit {
  const excess = excessAlong(log, predicted)
  const { speedMs } = motionOf(log)
  const usable = (most: number, isWithin: (entry: number) => boolean) => {
    const kept = [...excess.keys()].filter((i) => {
      if (Number.isNaN(excess[i]) || predicted.kind[i] > most || speedMs[i] < REST_MS) return false
      if (predicted.levelDbm[i] < link.sensitivityDbm || !isWithin(i)) return false
      const at = { latDeg: log.latDeg[i], lonDeg: log.lonDeg[i] }
      return geodesic(plan.launch, at).distanceM >= NEAREST_M
    })
    const take = (values: Float64Array) => Float64Array.from(kept, (i) => values[i])
    return { timeS: take(log.timeS), values: take(excess) }
  }
  const { low, high } = boundsOf(log.signalDbm)
  const { signalDbm } = log
  const fits = (measured: TimedValues) => measuredS(measured.timeS) >= SHORTEST_S
  const first = (most: number) => usable(most, (i) => signalDbm[i] > low && signalDbm[i] < high)
  const isClear = fits(first(0))
  const most = isClear ? 0 : 1
  // What the receiver shows near its bounds is chosen by what was expected, not by what came.
  const rough = first(most)
  const { value, scatter } = rough.values.length > 0 ? biweight(rough.values) : NO_FIT
  const level = (i: number) => predicted.levelDbm[i] - value
  const measured = usable(
    most,
    (i) => level(i) > low + 2 * scatter && level(i) < high - 2 * scatter,
  )
  if (!fits(measured)) {
    throw new PilotError(
      say('signalFit.levelsMeasuredSightS', {
        timeS: measuredS(measured.timeS).toFixed(0),
        shortestS: SHORTEST_S,
      }),
    )
  }
  return { ...robustFit(measured), from: isClear ? ['clear'] : ['clear', 'obstructed'] }
}

const NO_FIT = { value: 0, scatter: 0 }

/** Levels that a receiver cannot go under or over, as its log shows them; infinite for none. */
function boundsOf(signalDbm: Float64Array): { low: number; high: number } {
  const sorted = signalDbm.filter((level) => !Number.isNaN(level)).sort()
  const [least, most] = [sorted[0], sorted[sorted.length - 1]]
  const shareOf = (isThere: (level: number) => boolean) =>
    sorted.filter(isThere).length / Math.max(1, sorted.length)
  return {
    low: shareOf((level) => level < least + BOUND_DB) > BOUND_SHARE ? least + BOUND_DB : -Infinity,
    high: shareOf((level) => level > most - BOUND_DB) > BOUND_SHARE ? most - BOUND_DB : Infinity,
  }
}
