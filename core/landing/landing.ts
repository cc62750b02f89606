import { directionTables } from '../radio/margin'
import type { Link } from '../radio/link'
import type { ClearFields } from '../coverage/radialSweep'
import type { PathField } from '../coverage/pathField'
import type { GroundArea } from './areas'
import type { WalkField } from './walk'

/** The picture must last down to here above ground, metres. */
export const LANDED_HEIGHT_M = 2

/** Shares of an area's cells with an answer, 0 to 1 (NaN without any), from which the picture lasts down to LANDED_HEIGHT_M. */
export interface PictureShares {
  readonly sight: number
  readonly fresnel: number
  /** With the wanted margin; null where it was not worked out. */
  readonly margin: number | null
}

/** What of an area keeps its picture to the ground. */
export function pictureShares(
  { cells }: Pick<GroundArea, 'cells'>,
  { sightM, fresnelM }: ClearFields,
  margin: { readonly paths: PathField; readonly table: Float32Array; readonly link: Link } | null,
): PictureShares {
  let [sight, fresnel, wanted, known] = [0, 0, 0, 0]
  for (const cell of cells) {
    if (Number.isNaN(sightM[cell])) continue
    known++
    if (sightM[cell] <= LANDED_HEIGHT_M) sight++
    if (fresnelM[cell] <= LANDED_HEIGHT_M) fresnel++
    if (!margin) continue
    const { paths, table, link } = margin
    if (table[paths.directions[cell]] - paths.lossDb[cell] >= link.fadeMarginDb) wanted++
  }
  return {
    sight: sight / known,
    fresnel: fresnel / known,
    margin: margin && wanted / known,
  }
}

/** The table that margins at the ground are looked up in. */
export function groundMargin(link: Link, paths: PathField) {
  return { paths, table: directionTables(link).marginDb, link }
}

/** The cell of an area that is soonest reached on foot, and when; null where none is. */
export function soonestOnFoot(
  { cells }: Pick<GroundArea, 'cells'>,
  { timeS }: WalkField,
): { cell: number; timeS: number } | null {
  let best = -1
  for (const cell of cells) {
    if (best < 0 ? Number.isFinite(timeS[cell]) : timeS[cell] < timeS[best]) best = cell
  }
  return best < 0 ? null : { cell: best, timeS: timeS[best] }
}
