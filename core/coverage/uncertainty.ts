import type { TextKey } from '../words/say'
import { BESIDE_THE_CELL } from './radialSweep'

/** A kind of elevation model with the vertical error that is usually stated for it. */
export interface ModelKind {
  readonly id: string
  readonly label: TextKey
  /** Error that nine of ten heights keep to, metres (LE90). */
  readonly errorM: number
  readonly source: TextKey
  /** Usual edge of its cells is no longer than this, metres. */
  readonly upToCellM: number
}

/** From fine to coarse, so that the first whose cells are as wide is the likely one. */
export const MODEL_KINDS: readonly ModelKind[] = [
  {
    id: 'lidar',
    label: 'uncertainty.laser',
    errorM: 1,
    // common practice, no source: 0.2 m on open ground, more on steep and wooded ground
    source: 'uncertainty.laserSource',
    upToCellM: 3,
  },
  {
    id: 'national',
    label: 'uncertainty.national',
    errorM: 4,
    // common practice, no source: 2 to 5 m where made from air photographs
    source: 'uncertainty.nationalSource',
    upToCellM: 20,
  },
  {
    id: 'global',
    label: 'uncertainty.global',
    errorM: 9,
    // Rodriguez, Morris and Belz, Photogrammetric Engineering and Remote Sensing 72/3 (2006),
    // radar mission of 2000: 90 % within 5.6 to 9.0 m by continent, its specification 16 m
    // (from memory)
    source: 'uncertainty.globalSource',
    upToCellM: 45,
  },
  {
    id: 'coarse',
    label: 'uncertainty.coarse',
    errorM: 16,
    // specification of the radar mission of 2000: 16 m at 90 % (doi:10.1038/srep41672)
    source: 'uncertainty.coarseSource',
    upToCellM: Infinity,
  },
]

/** The kind that a terrain of such cells most likely is. */
export function likelyKind(cellM: number): ModelKind {
  return MODEL_KINDS.find(({ upToCellM }) => cellM <= upToCellM) ?? MODEL_KINDS[0]
}

/**
 * How many times the terrain's error a clear height errs, by the field's edge. With r the whole
 * distance over that of the deciding ground, a sight line over it moves at the target by r times
 * the error there, by 1 - r times the error under the launch point, and the target's own ground
 * errs as well; the three are taken as independent: sqrt(r^2 + (r - 1)^2 + 1).
 */
export const ERROR_GAINS = Float64Array.from({ length: 256 }, (_, edge) => {
  const r = BESIDE_THE_CELL / Math.max(edge, 0.5)
  return Math.sqrt(r * r + (r - 1) * (r - 1) + 1)
})
