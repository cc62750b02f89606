import { AIRCRAFT_LIMITS, type Aircraft } from '../energy/aircraft'
import { LIMITS, type Link } from '../radio/link'
import type { CurrentFit } from './currentFit'
import { say } from '../words/say'
import { spokenName } from '../words/typicalNames'
import type { Fit } from './robust'

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

/** An aircraft with the currents of a flight, under a name of its own. */
export function calibratedAircraft(
  aircraft: Aircraft,
  { value, spreadShare }: CurrentFit,
  day: string,
): Aircraft {
  const [least, most] = AIRCRAFT_LIMITS.currentA
  const scaled = (ampere: number) =>
    Math.round(Math.min(most, Math.max(least, ampere * value)) * 100) / 100
  return {
    ...aircraft,
    name: flownName(aircraft.name, day),
    hoverCurrentA: scaled(aircraft.hoverCurrentA),
    cruise: aircraft.cruise.map((point) => ({ ...point, currentA: scaled(point.currentA) })),
    currentSpreadShare: Math.round(Math.min(1, spreadShare) * 1000) / 1000,
  }
}

/** What the catalogue and an earlier flight put behind a name, in every language. */
const BEHIND_NAMES = / \((typical|typisch)\)$|, (as flown|nach dem Flug) .*$/g

/** A name that says since when something is as it was flown; an older such day makes way. */
export function flownName(name: string, day: string): string {
  return say('calibrated.flown', {
    name: spokenName(name).replace(BEHIND_NAMES, ''),
    day,
  })
}
