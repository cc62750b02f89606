import { PilotError } from '../errors'
import { LIMITS, type Link } from '../radio/link'
import type { FlightLog } from './flightLog'
import { NO_WAY, WAY_KINDS, type Predicted, type WayKind } from './predicted'
import { biweight, robustFit, type Fit } from './robust'

/** Measured against predicted on one kind of way. */
export interface KindComparison {
  readonly kind: WayKind
  readonly count: number
  /** Predicted less measured, dB: above zero where the signal was weaker than computed. */
  readonly excessDb: number
  readonly scatterDb: number
}

/** Fewer levels tell nothing. */
const FEWEST_LEVELS = 60

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
 * Behind ground the diffraction model errs as well, so that tells nothing of the link. Levels
 * predicted under the sensitivity are left out, since there the receiver shows its own floor.
 * Throws a PilotError where too few levels are left.
 */
export function fitSignal(log: FlightLog, predicted: Predicted, link: Link): SignalFit {
  const excess = excessAlong(log, predicted)
  const usable = (most: number) =>
    excess.filter(
      (db, i) =>
        !Number.isNaN(db) &&
        predicted.kind[i] !== NO_WAY &&
        predicted.kind[i] <= most &&
        predicted.levelDbm[i] >= link.sensitivityDbm,
    )
  const clear = usable(0)
  const isClear = clear.length >= FEWEST_LEVELS
  const values = isClear ? clear : usable(1)
  if (values.length < FEWEST_LEVELS) {
    throw new PilotError(
      `Only ${values.length} levels were measured in sight, and ${FEWEST_LEVELS} are needed; choose the column of the signal, or another flight.`,
    )
  }
  return { ...robustFit(values), from: isClear ? ['clear'] : ['clear', 'obstructed'] }
}

/** A link with what a flight has shown, under a name of its own. */
export function calibratedLink(link: Link, { value, scatter }: Fit, day: string): Link {
  const within = (db: number, [least, most]: readonly [number, number]) =>
    Math.round(Math.min(most, Math.max(least, db)) * 10) / 10
  return {
    ...link,
    name: flownName(link.name, day),
    excessLossDb: within(value, LIMITS.excessLossDb),
    spreadDb: within(scatter, LIMITS.spreadDb),
  }
}

/** A name that says since when something is as it was flown; an older such day makes way. */
export function flownName(name: string, day: string): string {
  return `${name.replace(/ \(typical\)$/, '').replace(/, as flown .*$/, '')}, as flown ${day}`
}
