import type { Surface } from '../surface/surface'

/** The terrain as the sweep sees it: the ground, and what the ray must clear (see Surface). */
export interface SweepGround extends Surface {
  readonly heights: Float32Array
  readonly cols: number
  readonly rows: number
}

export interface SweepSettings {
  /** Grid position of the launch point. */
  readonly col: number
  readonly row: number
  /** Launch antenna above sea level, metres. */
  readonly antennaAmslM: number
  /** True ground length of a cell edge, metres. */
  readonly groundCellM: number
  readonly kFactor: number
  readonly wavelengthM: number
  readonly fresnelFraction: number
  /** Cells farther than this from the launch point are left alone; Infinity for all. */
  readonly radiusCells: number
  /** Cells outside this sector are left alone; null for all around. */
  readonly sector: SweepSector | null
  /** Within this distance of the launch point the ray meets the bare surface. */
  readonly clearingCells: number
}

/** A sector seen from the launch point, by grid bearing: clockwise from the top of the grid. */
export interface SweepSector {
  readonly middleRad: number
  readonly halfWidthRad: number
}

/** Rays cast in one call: enough for its scratch arrays to pay, few enough to be compiled soon. */
export const RAYS_A_CALL = 32
/** Slack for rays that end on a cell centre, in cells. */
const TIE = 1e-9
/** Rays begin and end so far outside what is asked for, cells. */
const SLACK_CELLS = 2

/**
 * The rays toward one side of the grid. `main` is the axis they run along, `cross` the other;
 * a ray is named by the whole cross position it would reach at the far end of the main axis.
 */
export interface Fan {
  readonly isColMain: boolean
  readonly direction: 1 | -1
  readonly mainOrigin: number
  readonly crossOrigin: number
  readonly crossMax: number
  readonly mainStride: number
  readonly crossStride: number
  /** Index of the first main position met, at cross position 0. */
  readonly firstOffset: number
  /** Their distances from the launch point along the main axis, cells. */
  readonly steps: Float64Array
  /** One over each of the steps. */
  readonly inverses: Float64Array
  /** Cells sideways a cell forward, of the first ray and from ray to ray. */
  readonly firstSlope: number
  readonly slopeStep: number
  readonly rayCount: number
}

/** The fan along one axis and direction; null where the grid has no cell that way. */
function makeFan(
  { cols, rows }: SweepGround,
  { col, row, radiusCells }: SweepSettings,
  spacingCells: number,
  isColMain: boolean,
  direction: 1 | -1,
): Fan | null {
  const [mainOrigin, crossOrigin] = isColMain ? [col, row] : [row, col]
  const [mainCount, crossCount] = isColMain ? [cols, rows] : [rows, cols]
  const positions: number[] = []
  let position = direction > 0 ? Math.floor(mainOrigin) + 1 : Math.ceil(mainOrigin) - 1
  for (; position >= 0 && position < mainCount; position += direction) {
    if (Math.abs(position - mainOrigin) > radiusCells) break
    positions.push(position)
  }
  if (positions.length === 0) return null
  const steps = Float64Array.from(positions, (at) => Math.abs(at - mainOrigin))
  const slopeStep = spacingCells / steps[steps.length - 1]
  return {
    isColMain,
    direction,
    mainOrigin,
    crossOrigin,
    crossMax: crossCount - 1,
    mainStride: isColMain ? 1 : cols,
    crossStride: isColMain ? cols : 1,
    firstOffset: positions[0] * (isColMain ? 1 : cols),
    steps,
    inverses: steps.map((step) => 1 / step),
    firstSlope: -1 - slopeStep,
    slopeStep,
    rayCount: Math.ceil(2 / slopeStep) + 3,
  }
}

/** How many steps a ray takes before it is well outside the grid or the radius. */
export function stepsWithin(fan: Fan, slope: number, stretch: number, radiusCells: number): number {
  const { steps, crossOrigin, crossMax } = fan
  const room = (slope < 0 ? crossOrigin : crossMax - crossOrigin) + SLACK_CELLS
  const reach = (radiusCells + 2 * SLACK_CELLS) / stretch
  // One step more than needed costs nothing; one short would leave a corner cell unwritten.
  const count = Math.floor(Math.min(room / Math.abs(slope), reach) - steps[0]) + 2
  return Math.max(0, Math.min(steps.length, count))
}

/**
 * True for a ray so far outside a sector that no cell beside it can be inside.
 * @param raysBeside how far beside it cells may lie, in gaps between rays
 */
export function isOutside(sector: SweepSector, fan: Fan, slope: number, raysBeside = 2): boolean {
  const main = fan.direction
  const [east, south] = fan.isColMain ? [main, slope] : [slope, main]
  const turn = Math.atan2(east, -south) - sector.middleRad
  const away = Math.abs(turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)))
  return away > sector.halfWidthRad + raysBeside * fan.slopeStep
}

/**
 * The fans toward all sides that the grid has cells on.
 * @param spacingCells widest gap between neighbouring rays, at the far end of the grid
 */
export function makeFans(
  ground: SweepGround,
  settings: SweepSettings,
  spacingCells: number,
): Fan[] {
  return [true, false].flatMap((isColMain) =>
    ([1, -1] as const).flatMap(
      (direction) => makeFan(ground, settings, spacingCells, isColMain, direction) ?? [],
    ),
  )
}

/**
 * The cells of a fan's step that lie between the first and the last of some rays, by their place
 * across: which two rays each lies between follows from its slope alone.
 */
export function cellsOf(
  { isColMain, crossOrigin, crossMax, steps, firstSlope, slopeStep }: Fan,
  n: number,
  first: number,
  count: number,
): { readonly from: number; readonly to: number } {
  const step = steps[n]
  // Cells on the diagonal belong to the fans along the columns.
  const reach = step + (isColMain ? TIE : -TIE)
  const lowest = firstSlope + first * slopeStep
  const highest = firstSlope + (first + count - 1) * slopeStep
  const sideFrom = Math.max(lowest * step - TIE, -reach)
  const sideTo = Math.min(highest * step + TIE, reach)
  return {
    from: Math.max(0, Math.ceil(crossOrigin + sideFrom)) | 0,
    to: Math.min(crossMax, Math.floor(crossOrigin + sideTo)) | 0,
  }
}

/**
 * Calls back with the rays from .. to - 1 over all fans, call by call, each with the ray before it:
 * what lies between two rays is written with the second.
 */
export function forEachCall(
  fans: readonly Fan[],
  from: number,
  to: number,
  cast: (fan: Fan, first: number, count: number) => void,
): void {
  let offset = 0
  for (const fan of fans) {
    const begin = Math.max(from - offset, 0)
    const end = Math.min(to - offset, fan.rayCount)
    for (let ray = begin; ray < end; ray += RAYS_A_CALL) {
      const first = Math.max(0, ray - 1)
      cast(fan, first, Math.min(end, ray + RAYS_A_CALL) - first)
    }
    offset += fan.rayCount
  }
}
