import type { ClearFields } from './radialSweep'
import { ERROR_GAINS } from './uncertainty'

/** What the air over a cell is at one flying height, from best to worst. */
export const COVERAGE_CLASSES = [
  'fresnelClear',
  'fresnelUncertain',
  'sightOnly',
  'sightUncertain',
  'blocked',
] as const
export type CoverageClass = (typeof COVERAGE_CLASSES)[number]

/** Share of the cells that have an answer, 0 to 1, by class; all NaN where none has. */
export type CoverageShares = Readonly<Record<CoverageClass, number>>

/** Highest flying height that the shares can be asked for, metres above ground. */
export const MAX_FLYING_HEIGHT_M = 1000
const BINS_PER_METRE = 10
const BIN_COUNT = MAX_FLYING_HEIGHT_M * BINS_PER_METRE + 1
const [FRESNEL_CLEAR, FRESNEL_UNCERTAIN, SIGHT_ONLY, SIGHT_UNCERTAIN, BLOCKED] =
  COVERAGE_CLASSES.keys()
/** Class of a cell without an answer. */
export const NO_CLASS = 255

/**
 * Index in COVERAGE_CLASSES of a cell at a flying height, NO_CLASS without an answer. Whatever
 * the terrain's error leaves open is uncertain: whether there is sight, or with sight whether the
 * Fresnel zone is free.
 */
export function classOf(
  { sightM, fresnelM, edge }: ClearFields,
  cell: number,
  flyingHeightM: number,
  errorM: number,
): number {
  const band = errorM * ERROR_GAINS[edge[cell]]
  const sight = sightM[cell]
  if (sight - band > flyingHeightM) return BLOCKED
  if (sight + band > flyingHeightM) return SIGHT_UNCERTAIN
  const fresnel = fresnelM[cell]
  if (fresnel + band <= flyingHeightM) return FRESNEL_CLEAR
  if (fresnel - band <= flyingHeightM) return FRESNEL_UNCERTAIN
  return sight <= flyingHeightM ? SIGHT_ONLY : NO_CLASS
}

/**
 * How many cells are at least as good as each class at every flying height up to 1000 m in steps
 * of 0.1 m, so that a slider can show shares without a walk over the grid.
 */
export class ClearCounts {
  private constructor(
    private readonly total: number,
    /** Cells without an answer. */
    readonly unanswered: number,
    /** By class but the last, by height: cells of that class or a better one. */
    private readonly atLeast: readonly Uint32Array[],
  ) {}

  /** @param errorM vertical error of the terrain, metres; 0 leaves nothing uncertain */
  static of({ sightM, fresnelM, edge }: ClearFields, errorM: number): ClearCounts {
    const [clear, maybeClear, sight, maybeSight] = [0, 1, 2, 3].map(
      () => new Uint32Array(BIN_COUNT + 1),
    )
    let total = 0
    for (let i = 0; i < sightM.length; i++) {
      if (Number.isNaN(sightM[i])) continue
      total++
      const band = errorM * ERROR_GAINS[edge[i]]
      clear[bin(fresnelM[i] + band)]++
      maybeClear[bin(Math.max(sightM[i] + band, fresnelM[i] - band))]++
      sight[bin(sightM[i] + band)]++
      maybeSight[bin(sightM[i] - band)]++
    }
    const atLeast = [clear, maybeClear, sight, maybeSight]
    for (const counts of atLeast) {
      for (let at = 1; at < BIN_COUNT; at++) counts[at] += counts[at - 1]
    }
    return new ClearCounts(total, sightM.length - total, atLeast)
  }

  /** Counts that crossed a worker boundary, where classes lose their methods. */
  static revive(plain: ClearCounts): ClearCounts {
    return new ClearCounts(plain.total, plain.unanswered, plain.atLeast)
  }

  at(flyingHeightM: number): CoverageShares {
    const at = Math.min(BIN_COUNT - 1, Math.max(0, Math.round(flyingHeightM * BINS_PER_METRE)))
    const shares = [...this.atLeast.map((counts) => counts[at]), this.total].map(
      (count, i, all) => (count - (all[i - 1] ?? 0)) / this.total,
    )
    return Object.fromEntries(
      COVERAGE_CLASSES.map((name, i) => [name, shares[i]]),
    ) as unknown as CoverageShares
  }
}

/** First bin of heights at which a clear height is kept; the last one is beyond all. */
function bin(clearHeightM: number): number {
  return Math.min(BIN_COUNT, Math.max(0, Math.ceil(clearHeightM * BINS_PER_METRE)))
}
