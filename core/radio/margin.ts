import { azimuthOf, DIRECTION_COUNT, elevationOf } from '../coverage/pathField'
import { LinkGains } from './budget'
import type { Link } from './link'

/** What the signal over a cell is worth. */
export const MARGIN_CLASSES = ['comfortable', 'thin', 'lost'] as const
export type MarginClass = (typeof MARGIN_CLASSES)[number]

/** Index in MARGIN_CLASSES of a margin: at least the wanted fade margin, above nothing, below. */
export function marginClass(marginDb: number, fadeMarginDb: number): number {
  if (marginDb >= fadeMarginDb) return 0
  return marginDb >= 0 ? 1 : 2
}

/**
 * Margin of a link before its path loss, by direction: power, gains and fixed losses over the
 * sensitivity. A change of power or antenna makes a new table, never a new sweep.
 */
export function marginTable(link: Link): Float32Array {
  const gains = new LinkGains(link)
  const { fixedDb } = gains
  return Float32Array.from(
    { length: DIRECTION_COUNT },
    (_, direction) => fixedDb + gains.netDb(azimuthOf(direction), elevationOf(direction)),
  )
}

/** The ground antenna that does best, by direction. */
export function branchTable(link: Link): Uint8Array {
  const gains = new LinkGains(link)
  return Uint8Array.from({ length: DIRECTION_COUNT }, (_, direction) =>
    gains.bestBranch(azimuthOf(direction), elevationOf(direction)),
  )
}
