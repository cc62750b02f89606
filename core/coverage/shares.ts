/** What the air over a cell is at one flying height. */
export const COVERAGE_CLASSES = ['fresnelClear', 'sightOnly', 'blocked'] as const
export type CoverageClass = (typeof COVERAGE_CLASSES)[number]

/** Share of the cells that have an answer, 0 to 1, by class; all NaN where none has. */
export type CoverageShares = Readonly<Record<CoverageClass, number>>

/** Highest flying height that the shares can be asked for, metres above ground. */
export const MAX_FLYING_HEIGHT_M = 1000
const BINS_PER_METRE = 10
const BIN_COUNT = MAX_FLYING_HEIGHT_M * BINS_PER_METRE + 1

/** Which class a cell with these clear heights has at a flying height; null without an answer. */
export function classAt(
  sightM: number,
  fresnelM: number,
  flyingHeightM: number,
): CoverageClass | null {
  if (Number.isNaN(sightM)) return null
  if (fresnelM <= flyingHeightM) return 'fresnelClear'
  return sightM <= flyingHeightM ? 'sightOnly' : 'blocked'
}

/**
 * How many cells are clear at every flying height up to 1000 m in steps of 0.1 m, so that a
 * slider can show shares without a walk over the grid.
 */
export class ClearCounts {
  private constructor(
    private readonly total: number,
    /** Cells without an answer. */
    readonly unanswered: number,
    private readonly sight: Uint32Array,
    private readonly fresnel: Uint32Array,
  ) {}

  static of(sightM: Float32Array, fresnelM: Float32Array): ClearCounts {
    const sight = new Uint32Array(BIN_COUNT)
    const fresnel = new Uint32Array(BIN_COUNT)
    let total = 0
    for (let i = 0; i < sightM.length; i++) {
      if (Number.isNaN(sightM[i])) continue
      total++
      const sightBin = Math.ceil(sightM[i] * BINS_PER_METRE)
      const fresnelBin = Math.ceil(fresnelM[i] * BINS_PER_METRE)
      if (sightBin < BIN_COUNT) sight[sightBin]++
      if (fresnelBin < BIN_COUNT) fresnel[fresnelBin]++
    }
    for (let bin = 1; bin < BIN_COUNT; bin++) {
      sight[bin] += sight[bin - 1]
      fresnel[bin] += fresnel[bin - 1]
    }
    return new ClearCounts(total, sightM.length - total, sight, fresnel)
  }

  /** Counts that crossed a worker boundary, where classes lose their methods. */
  static revive(plain: ClearCounts): ClearCounts {
    return new ClearCounts(plain.total, plain.unanswered, plain.sight, plain.fresnel)
  }

  at(flyingHeightM: number): CoverageShares {
    const bin = Math.min(BIN_COUNT - 1, Math.max(0, Math.round(flyingHeightM * BINS_PER_METRE)))
    const fresnelClear = this.fresnel[bin] / this.total
    const inSight = this.sight[bin] / this.total
    return { fresnelClear, sightOnly: inSight - fresnelClear, blocked: 1 - inSight }
  }
}
