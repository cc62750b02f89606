import type { AirColumn, AirColumns } from './airColumns'
import type { RouteLine } from './routeLine'

export const FLOOR_KINDS = ['margin', 'fresnel', 'sight'] as const
/** What must be there at the floor: the wanted margin, a free Fresnel zone, or sight alone. */
export type FloorKind = (typeof FLOOR_KINDS)[number]

/** What the pilot asks of a route besides its link. */
export interface RouteLimits {
  /** Highest above ground; common practice 120 m in much of the world, local law decides. */
  readonly ceilingM: number
  /** Least distance over ground, obstacles and wires, metres. */
  readonly clearanceM: number
  readonly floorKind: FloorKind
}

export const USUAL_LIMITS: RouteLimits = { ceilingM: 120, clearanceM: 15, floorKind: 'margin' }

/** Values the limits may have. */
export const LIMIT_RANGES = { ceilingM: [5, 9000], clearanceM: [0, 500] } as const

/** The air over the samples of a route, metres above ground; NaN where nothing is known. */
export interface RouteAir {
  readonly sightM: Float64Array
  readonly fresnelM: Float64Array
  /** Lowest height with the wanted margin of each link; Infinity where there is none. */
  readonly videoFloorM: Float64Array
  readonly controlFloorM: Float64Array
  /** Margins at the flown line, dB. */
  readonly videoDb: Float64Array
  readonly controlDb: Float64Array
  /** How far the worst link is from its wanted margin there, dB. */
  readonly shortDb: Float64Array
}

/** Samples from one looked-at column to the next. */
export const COLUMN_STRIDE = 2

/** Samples of a line over which the air is looked at: every second one, and each station. */
export function columnSamples({ stations }: RouteLine): number[] {
  const samples: number[] = [0]
  for (let leg = 1; leg < stations.length; leg++) {
    const [from, to] = [stations[leg - 1].sample, stations[leg].sample]
    for (let sample = from + COLUMN_STRIDE; sample < to; sample += COLUMN_STRIDE) {
      samples.push(sample)
    }
    samples.push(to)
  }
  return samples
}

/** Looks at the air along a whole line. */
export function airAlong(columns: AirColumns, line: RouteLine): RouteAir {
  const samples = columnSamples(line)
  const found = samples.map((i) =>
    columns.over({ col: line.cols[i], row: line.rows[i] }, line.flownM[i] - line.groundM[i]),
  )
  return spreadColumns(line.distanceM.length, samples, found)
}

/** Air over all samples from the columns looked at, those between taken as the higher neighbour. */
export function spreadColumns(
  count: number,
  samples: readonly number[],
  columns: readonly AirColumn[],
): RouteAir {
  const air = {
    sightM: new Float64Array(count).fill(NaN),
    fresnelM: new Float64Array(count).fill(NaN),
    videoFloorM: new Float64Array(count).fill(NaN),
    controlFloorM: new Float64Array(count).fill(NaN),
    videoDb: new Float64Array(count).fill(NaN),
    controlDb: new Float64Array(count).fill(NaN),
    shortDb: new Float64Array(count).fill(NaN),
  }
  const put = (sample: number, before: AirColumn, after: AirColumn) => {
    const higher = (of: (column: AirColumn) => number) => Math.max(of(before), of(after))
    const lower = (of: (column: AirColumn) => number) => Math.min(of(before), of(after))
    air.sightM[sample] = higher(({ sightM }) => sightM)
    air.fresnelM[sample] = higher(({ fresnelM }) => fresnelM)
    air.videoFloorM[sample] = higher(({ marginFloorsM }) => marginFloorsM[0])
    air.controlFloorM[sample] = higher(({ marginFloorsM }) => marginFloorsM[1])
    air.videoDb[sample] = lower(({ marginsDb }) => marginsDb[0])
    air.controlDb[sample] = lower(({ marginsDb }) => marginsDb[1])
    air.shortDb[sample] = higher(({ shortDb }) => shortDb)
  }
  samples.forEach((sample, i) => {
    const column = columns[i]
    put(sample, column, column)
    const next = samples[i + 1] ?? sample
    for (let between = sample + 1; between < next; between++) put(between, column, columns[i + 1])
  })
  return air
}

/** The floor that counts over one sample, metres above ground. */
export function floorAt(air: RouteAir, kind: FloorKind, sample: number): number {
  if (kind === 'sight') return air.sightM[sample]
  if (kind === 'fresnel') return air.fresnelM[sample]
  return Math.max(air.videoFloorM[sample], air.controlFloorM[sample])
}

export const CONFLICT_KINDS = [
  'no-height',
  'under-floor',
  'weak-signal',
  'over-ceiling',
  'too-close',
  'no-landing',
  'not-known',
] as const
/**
 * What is wrong along a stretch: no height between floor and ceiling; the line under the floor;
 * less than the wanted margin though above it, as right over the antenna; the line over the
 * ceiling, or closer to ground, obstacle or wire than wanted; no landing area of the plan in reach;
 * or nothing known, for want of data.
 */
export type ConflictKind = (typeof CONFLICT_KINDS)[number]

export interface Conflict {
  readonly kind: ConflictKind
  readonly fromSample: number
  readonly toSample: number
  readonly fromM: number
  readonly toM: number
  /**
   * Where it is worst, and by how much: metres, Infinity where no height would do; decibels of a
   * weak signal; no meaning where nothing is known.
   */
  readonly worstSample: number
  readonly worst: number
  /** Leg of the worst place. */
  readonly leg: number
}

/** Less than this is a matter of rounding, metres or decibels. */
const TOLERANCE = 0.05

/**
 * Everything wrong along a line, in the order in which it is met.
 * @param hasLanding whether a landing area is in reach from a sample; null where the plan has none
 */
export function conflictsOf(
  line: RouteLine,
  air: RouteAir | null,
  { ceilingM, clearanceM, floorKind }: RouteLimits,
  hasLanding: ((sample: number) => boolean) | null = null,
): Conflict[] {
  const { groundM, surfaceM, flownM } = line
  const excess: Record<ConflictKind, (sample: number) => number> = {
    'no-height': (i) => (air ? floorAt(air, floorKind, i) - ceilingM : NaN),
    'under-floor': (i) =>
      air && !(floorAt(air, floorKind, i) > ceilingM)
        ? floorAt(air, floorKind, i) - (flownM[i] - groundM[i])
        : NaN,
    'weak-signal': (i) =>
      air && floorKind === 'margin' && floorAt(air, floorKind, i) <= flownM[i] - groundM[i]
        ? air.shortDb[i]
        : NaN,
    'over-ceiling': (i) => flownM[i] - groundM[i] - ceilingM,
    'too-close': (i) => clearanceM - (flownM[i] - surfaceM[i]),
    'no-landing': (i) => (hasLanding && !hasLanding(i) ? 1 : NaN),
    'not-known': (i) =>
      !air || Number.isNaN(floorAt(air, floorKind, i)) || Number.isNaN(surfaceM[i]) ? 1 : NaN,
  }
  return CONFLICT_KINDS.flatMap((kind) => stretches(line, kind, excess[kind])).sort(
    (a, b) => a.fromM - b.fromM,
  )
}

/** Unbroken runs of samples where something exceeds what may be. */
function stretches(
  { distanceM, legOf }: RouteLine,
  kind: ConflictKind,
  excessOf: (sample: number) => number,
): Conflict[] {
  const found: Conflict[] = []
  let from = -1
  let worst = -1
  const close = (toSample: number) => {
    if (from < 0) return
    found.push({
      kind,
      fromSample: from,
      toSample,
      fromM: distanceM[from],
      toM: distanceM[toSample],
      worstSample: worst,
      worst: excessOf(worst),
      leg: legOf[worst],
    })
    from = -1
  }
  for (let i = 0; i < distanceM.length; i++) {
    const excess = excessOf(i)
    if (!(excess > TOLERANCE)) {
      close(i - 1)
      continue
    }
    if (from < 0) from = worst = i
    if (excess > excessOf(worst)) worst = i
  }
  close(distanceM.length - 1)
  return found
}

/** Length of the stretches of one kind, metres. */
export function lengthOf(conflicts: readonly Conflict[], kind: ConflictKind): number {
  return conflicts
    .filter((conflict) => conflict.kind === kind)
    .reduce((sum, { fromM, toM }) => sum + toM - fromM, 0)
}
