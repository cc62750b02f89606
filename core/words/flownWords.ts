import { WAY_KINDS, type WayKind } from '../log/predicted'
import type { TextKey } from './say'

/** What the way from the launch point to the aircraft was. */
export const WAY_NAMES: Readonly<Record<WayKind, TextKey>> = {
  clear: 'flown.clear',
  obstructed: 'flown.fresnelObstructed',
  blocked: 'common.blocked',
}

/** By index in WAY_KINDS; dashes tell them apart without colour. */
export const WAY_STYLES = WAY_KINDS.map(
  (kind) =>
    ({
      clear: { colour: '#0b7285', dash: '' },
      obstructed: { colour: '#d97706', dash: '9 5' },
      blocked: { colour: '#5c1a33', dash: '2 6' },
    })[kind],
)

/** Measured against predicted, from much weaker to stronger; each holds from its bound on, dB. */
export const DIFFERENCES = [
  { name: 'flown.weaker12DbMore', fromDb: -Infinity, colour: '#9d174d', dash: '2 6' },
  { name: 'flown.weaker612Db', fromDb: -12, colour: '#ea7a2f', dash: '9 5' },
  { name: 'flown.within6Db', fromDb: -6, colour: '#4b5563', dash: '' },
  { name: 'flown.stronger6DbMore', fromDb: 6, colour: '#2563a8', dash: '14 3 3 3' },
] as const

/** Index in DIFFERENCES of measured less predicted, dB; -1 without an answer. */
export function differenceClass(db: number): number {
  return Number.isNaN(db) ? -1 : DIFFERENCES.findLastIndex(({ fromDb }) => db >= fromDb)
}
