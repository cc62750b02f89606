import { AZIMUTHS, azimuthOf, ELEVATIONS, elevationOf, type PathField } from '../coverage/pathField'
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

/** What a link has toward each direction, as `directionOf` numbers them. */
export interface DirectionTables {
  /** Margin before the path loss, dB: power, gains and fixed losses over the sensitivity. */
  readonly marginDb: Float32Array
  /** The ground antenna that does best. */
  readonly branches: Uint8Array
}

/**
 * Tables of a link by direction. A change of power or antenna makes new tables, never a new sweep.
 */
export function directionTables(link: Link): DirectionTables {
  const gains = new LinkGains(link)
  const { fixedDb } = gains
  const { netDb, branches } = gains.toAll(AZIMUTHS_DEG, ELEVATIONS_DEG)
  const marginDb = new Float32Array(netDb.length)
  for (let i = 0; i < netDb.length; i++) marginDb[i] = fixedDb + netDb[i]
  return { marginDb, branches }
}

const AZIMUTHS_DEG = Array.from({ length: AZIMUTHS }, (_, i) => azimuthOf(i * ELEVATIONS))
const ELEVATIONS_DEG = Array.from({ length: ELEVATIONS }, (_, i) => elevationOf(i))

/** A link over the cells of a site. */
export interface LinkOverSite extends DirectionTables {
  readonly paths: PathField
  readonly fadeMarginDb: number
}

/** A count of MARGIN_CLASSES over every so manieth cell, the worst of the links in each, in parts. */
export class ClassCount {
  private readonly counts = [0, 0, 0]
  private next = 0

  constructor(
    private readonly links: readonly LinkOverSite[],
    private readonly stride: number,
  ) {}

  /** Counts so many cells more; false once none is left. */
  goOn(cells: number): boolean {
    const { lossDb } = this.links[0].paths
    const end = Math.min(lossDb.length, this.next + cells * this.stride)
    for (; this.next < end; this.next += this.stride) {
      const worst = this.worstOf(this.next)
      if (worst >= 0) this.counts[worst]++
    }
    return this.next < lossDb.length
  }

  /** Shares of those counted so far that have an answer. */
  get shares(): readonly number[] {
    const all = this.counts.reduce((sum, count) => sum + count)
    return this.counts.map((count) => count / all)
  }

  private worstOf(cell: number): number {
    let worst = -1
    for (const { paths, marginDb, fadeMarginDb } of this.links) {
      const margin = marginDb[paths.directions[cell]] - paths.lossDb[cell]
      if (!Number.isNaN(margin)) worst = Math.max(worst, marginClass(margin, fadeMarginDb))
    }
    return worst
  }
}
