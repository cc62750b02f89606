import { EARTH_RADIUS_M } from '../geodesy/earth'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import type { Surface } from '../surface/surface'
import { bilinear } from '../terrain/grid'

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

/**
 * What a sweep finds, cell by cell; NaN where there is no answer.
 *
 * The clear heights are signed: below zero is room to spare, as if the receiver could go so far
 * into the ground. The edge says where on the way the ground lies that decides on sight, in 255ths
 * of the distance, rounded down: 255 beside the cell itself.
 */
export interface ClearFields {
  readonly sightM: Float32Array
  readonly fresnelM: Float32Array
  readonly edge: Uint8Array
}

/** A sector seen from the launch point, by grid bearing: clockwise from the top of the grid. */
export interface SweepSector {
  readonly middleRad: number
  readonly halfWidthRad: number
}

/**
 * Within this distance of the launch point a ray is sampled as finely as a path profile; within
 * the whole of a clearing that is larger.
 */
const NEAR_FIELD_CELLS = 96
/** Widest gap between neighbouring rays, at the far end of the grid, cells. */
const RAY_SPACING_CELLS = 2
/** Below any slope on Earth: nothing in the way yet. */
const OPEN = -1e9
/** A smaller Fresnel coefficient than this is treated as this: then both fields agree. */
const LEAST_FRESNEL_COEFFICIENT = 1e-9
/** Rays cast in one call: enough for its scratch arrays to pay, few enough to be compiled soon. */
const RAYS_A_CALL = 64
/** Edge of a cell whose deciding ground lies right beside it. */
export const BESIDE_THE_CELL = 255
/** Slack for rays that end on a cell centre, in cells. */
const TIE = 1e-9

/**
 * The rays toward one side of the grid. `main` is the axis they run along, `cross` the other;
 * a ray is named by the whole cross position it would reach at the far end of the main axis.
 */
interface Fan {
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

/**
 * Clear heights over a whole site by rays from the launch point to every side of the grid.
 *
 * *Sight.* With s_i the slope from the antenna to the ground at sample i, corrected for the
 * curved Earth, a ray to distance D passes everything before it at the slope max s_i: one
 * running maximum.
 *
 * *Fresnel.* To clear a share c of the first Fresnel zone over sample i, at distance d_i, the
 * slope must be at least f_i(v) = s_i + a sqrt(u_i - v), with u = 1/d, v = 1/D and
 * a = c sqrt(lambda). As D grows v falls, and of two samples the newer only gains on the older:
 * it overtakes at most once and for good. So the samples that will ever lead form a queue, in
 * the order in which they take the lead, and each enters and leaves it once. The moment of
 * overtaking, with delta = (s_new - s_old)/a, A = u_old - u_new and p = (delta + A/delta)/2, is
 * v* = u_old - p^2; delta^2 >= A means at once, delta <= 0 or v* <= 0 never. (Own derivation;
 * judged against the plain maximum in the tests.)
 *
 * *Cells.* Between two neighbouring rays the needed slope is taken linearly, at the cell's own
 * place between them; then its own distance and ground give its clear height. Every cell is
 * written once, by one pair of rays, so any split of the rays gives the same bits.
 *
 * Behind missing data there is no answer: what is not known may be a summit. Accuracy: test/reference/coverage.test.ts.
 */
export class RadialSweep {
  private readonly fans: Fan[] = []
  private readonly batch: RayBatch
  readonly rayCount: number

  /** @param fields receive what is found */
  constructor(
    private readonly ground: SweepGround,
    private readonly settings: SweepSettings,
    private readonly fields: ClearFields,
  ) {
    for (const isColMain of [true, false]) {
      for (const direction of [1, -1] as const) {
        const fan = makeFan(ground, settings, isColMain, direction)
        if (fan) this.fans.push(fan)
      }
    }
    this.rayCount = this.fans.reduce((sum, fan) => sum + fan.rayCount, 0)
    this.batch = new RayBatch(Math.max(0, ...this.fans.map(({ steps }) => steps.length)))
  }

  /** Computes the cells between rays from - 1 and to - 1: all of them over 0 .. rayCount. */
  run(from: number, to: number): void {
    let offset = 0
    for (const fan of this.fans) {
      const first = Math.max(from - offset, 0)
      const last = Math.min(to - offset, fan.rayCount)
      for (let ray = first; ray < last; ray += RAYS_A_CALL) {
        this.sweepBatch(fan, ray, Math.min(last, ray + RAYS_A_CALL))
      }
      offset += fan.rayCount
    }
    if (from <= 0 && to > 0) this.writeLaunchCell()
  }

  /** The cells between the rays from - 1 and to - 1 of a fan. */
  private sweepBatch(fan: Fan, from: number, to: number): void {
    const { ground, settings, batch, fields } = this
    const first = Math.max(0, from - 1)
    castRays(ground, settings, fan, first, to - first, batch)
    writeCells(ground, settings, fan, first, to - first, batch, fields)
  }

  /** The cell the launch point lies in, too near for any ray to have begun. */
  private writeLaunchCell(): void {
    const col = Math.round(this.settings.col)
    const row = Math.round(this.settings.row)
    const away = Math.hypot(col - this.settings.col, row - this.settings.row)
    if (away > OWN_GROUND_CELLS) return
    const i = row * this.ground.cols + col
    const value = this.ground.bare[i] - this.ground.heights[i]
    this.fields.sightM[i] = value
    this.fields.fresnelM[i] = value
    this.fields.edge[i] = BESIDE_THE_CELL
  }
}

/** The fan along one axis and direction; null where the grid has no cell that way. */
function makeFan(
  { cols, rows }: SweepGround,
  { col, row, radiusCells }: SweepSettings,
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
  const slopeStep = RAY_SPACING_CELLS / steps[steps.length - 1]
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
function stepsWithin(fan: Fan, slope: number, stretch: number, radiusCells: number): number {
  const { steps, crossOrigin, crossMax } = fan
  const room = (slope < 0 ? crossOrigin : crossMax - crossOrigin) + RAY_SPACING_CELLS
  const reach = (radiusCells + 2 * RAY_SPACING_CELLS) / stretch
  // One step more than needed costs nothing; one short would leave a corner cell unwritten.
  const count = Math.floor(Math.min(room / Math.abs(slope), reach) - steps[0]) + 2
  return Math.max(0, Math.min(steps.length, count))
}

/** True for a ray so far outside a sector that no cell beside it can be inside. */
function isOutside(sector: SweepSector, fan: Fan, slope: number): boolean {
  const main = fan.direction
  const [east, south] = fan.isColMain ? [main, slope] : [slope, main]
  const turn = Math.atan2(east, -south) - sector.middleRad
  const away = Math.abs(turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)))
  return away > sector.halfWidthRad + 2 * fan.slopeStep
}

/**
 * Samples one ray near the launch point, where a small error of slope grows with distance:
 * fills `slopes` with s and `inverses` with u of the samples at every quarter of a cell.
 */
function sampleNearField(
  { bare, covered, cols, rows }: SweepGround,
  { col, row, antennaAmslM, groundCellM, kFactor, clearingCells }: SweepSettings,
  fan: Fan,
  slope: number,
  stretch: number,
  slopes: Float64Array,
  inverses: Float64Array,
): void {
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const mainStep = (fan.direction * SAMPLE_STEP_CELLS) / stretch
  const crossStep = (slope * SAMPLE_STEP_CELLS) / stretch
  const [colStep, rowStep] = fan.isColMain ? [mainStep, crossStep] : [crossStep, mainStep]
  for (let sample = 0; sample < slopes.length; sample++) {
    const cells = (sample + 1) * SAMPLE_STEP_CELLS
    const x = col + colStep * (sample + 1)
    const y = row + rowStep * (sample + 1)
    const seen = cells <= clearingCells ? bare : covered
    let height = NaN
    if (x >= 0 && y >= 0 && x < cols - 1 && y < rows - 1) {
      const i = (y | 0) * cols + (x | 0)
      const across = x - (x | 0)
      const top = seen[i] + (seen[i + 1] - seen[i]) * across
      const bottom = seen[i + cols] + (seen[i + cols + 1] - seen[i + cols]) * across
      height = top + (bottom - top) * (y - (y | 0))
    }
    // At the border, and beside missing cells, which may have no weight.
    if (Number.isNaN(height)) height = bilinear(seen, cols, rows, x, y)
    const distanceM = cells * groundCellM
    inverses[sample] = 1 / distanceM
    slopes[sample] = (height - antennaAmslM) / distanceM - distanceM * curvature
  }
}

/** What the rays of one call need, ray by ray: slopes just before each step, and their deciders. */
class RayBatch {
  readonly stepCounts = new Int32Array(RAYS_A_CALL + 1)
  readonly sight: Float32Array
  readonly fresnel: Float32Array
  /** Where on the way the ground lies that decides on sight, in 255ths of the way. */
  readonly edge: Uint8Array

  constructor(readonly stride: number) {
    this.sight = new Float32Array((RAYS_A_CALL + 1) * stride)
    this.fresnel = new Float32Array((RAYS_A_CALL + 1) * stride)
    this.edge = new Uint8Array((RAYS_A_CALL + 1) * stride)
  }
}

/**
 * Casts the rays first .. first + count - 1 of a fan into a batch. One long function with its own
 * scratch arrays on purpose: split into methods it took twice the time in V8, which then reloads
 * every array's address at every access.
 */
function castRays(
  ground: SweepGround,
  settings: SweepSettings,
  fan: Fan,
  first: number,
  count: number,
  { stepCounts, stride, sight, fresnel, edge }: RayBatch,
): void {
  const { covered } = ground
  const { antennaAmslM, groundCellM, radiusCells, sector, clearingCells } = settings
  const { crossOrigin, crossMax, crossStride, steps, inverses } = fan
  const curvature = 1 / (2 * settings.kFactor * EARTH_RADIUS_M)
  const coefficient = Math.max(
    LEAST_FRESNEL_COEFFICIENT,
    settings.fresnelFraction * Math.sqrt(settings.wavelengthM),
  )
  const perCoefficient = 1 / coefficient
  const offsetStep = fan.direction * fan.mainStride
  const nearSamples = Math.ceil(
    Math.max(NEAR_FIELD_CELLS, Math.min(clearingCells, 2 * steps.length)) / SAMPLE_STEP_CELLS,
  )
  const nearSlopes = new Float64Array(nearSamples)
  const nearInverses = new Float64Array(nearSamples)
  // The queue of future leaders: their s, their u, and the v at which each takes the lead
  // (Infinity for one that leads from its first moment).
  const leaderSlopes = new Float64Array(steps.length + nearSamples)
  const leaderInverses = new Float64Array(steps.length + nearSamples)
  const takeovers = new Float64Array(steps.length + nearSamples)

  for (let ray = 0; ray < count; ray++) {
    const slope = fan.firstSlope + (first + ray) * fan.slopeStep
    const stretch = Math.sqrt(1 + slope * slope)
    const metresPerStep = stretch * groundCellM
    const stepsPerMetre = 1 / metresPerStep
    const dropPerStep = metresPerStep * curvature
    stepCounts[ray] = 0
    if (sector && isOutside(sector, fan, slope)) continue
    const stepCount = stepsWithin(fan, slope, stretch, radiusCells)
    stepCounts[ray] = stepCount
    sampleNearField(ground, settings, fan, slope, stretch, nearSlopes, nearInverses)

    let highest = OPEN
    let deciderOfHighest = 0
    // Zero, and NaN for good once the ray has met missing data.
    let doubt = 0
    let head = 0
    let tail = 0
    let nearDone = 0
    let s = NaN
    let u = 0
    let mainOffset = fan.firstOffset
    let out = ray * stride
    for (let n = 0; n < stepCount; n++, out++, mainOffset = (mainOffset + offsetStep) | 0) {
      const step = steps[n]
      // Take in what lies between the last step and this one: the near samples up to the
      // target's own ground, or farther out the ground at the last step.
      let more = 1
      if (nearDone < nearSamples) {
        const nearEnd = ((step * stretch - OWN_GROUND_CELLS) / SAMPLE_STEP_CELLS) | 0
        more = Math.min(nearSamples, nearEnd) - nearDone
      }
      const isNear = nearDone < nearSamples
      for (; more > 0; more--) {
        if (isNear) {
          s = nearSlopes[nearDone]
          u = nearInverses[nearDone++]
        }
        if (s > highest) {
          highest = s
          deciderOfHighest = BESIDE_THE_CELL / u
        }
        doubt += s - s
        let takeover = Infinity
        let place = tail
        while (place > head) {
          if (!(s > leaderSlopes[place - 1])) {
            takeover = -1
            break
          }
          const delta = (s - leaderSlopes[place - 1]) * perCoefficient
          const gap = leaderInverses[place - 1] - u
          if (delta * delta < gap) {
            const p = (delta + gap / delta) / 2
            takeover = leaderInverses[place - 1] - p * p
            if (takeover < takeovers[place - 1]) break
          }
          takeover = Infinity
          place--
        }
        if (takeover > 0 && s > OPEN) {
          leaderSlopes[place] = s
          leaderInverses[place] = u
          takeovers[place] = takeover
          tail = place + 1
        }
      }

      u = inverses[n] * stepsPerMetre
      while (tail - head > 1 && takeovers[head + 1] >= u) head++
      sight[out] = highest + doubt
      fresnel[out] =
        (tail > head
          ? leaderSlopes[head] + coefficient * Math.sqrt(leaderInverses[head] - u)
          : OPEN) + doubt
      edge[out] = deciderOfHighest * u

      // Beyond the border the ground goes on as it leaves, for the ray just outside.
      const cross = crossOrigin + slope * step
      const lower = (cross < 0 ? 0 : cross < crossMax ? cross : crossMax - 1) | 0
      const at = (mainOffset + lower * crossStride) | 0
      const z = covered[at]
      const zNext = covered[(at + crossStride) | 0]
      s = (z + (zNext - z) * (cross - lower) - antennaAmslM) * u - step * dropPerStep
    }
  }
}

/**
 * Writes the cells between the rays of a batch, step by step. Which two rays a cell lies between
 * follows from its slope alone, so the inner loop has nothing to search.
 */
function writeCells(
  ground: SweepGround,
  settings: SweepSettings,
  fan: Fan,
  first: number,
  count: number,
  { stepCounts, stride, sight, fresnel, edge }: RayBatch,
  fields: ClearFields,
): void {
  const { heights, bare, covered } = ground
  const { sightM, fresnelM, edge: edgeOfCell } = fields
  const { antennaAmslM, groundCellM, radiusCells, sector, clearingCells } = settings
  const { isColMain, direction, crossOrigin, crossMax, crossStride, steps, inverses } = fan
  const { firstSlope, slopeStep } = fan
  const anythingStands = covered !== heights
  const curvature = 1 / (2 * settings.kFactor * EARTH_RADIUS_M)
  const squaredRadius = radiusCells * radiusCells
  // A cell is in the sector when the cosine of its angle from the middle is large enough.
  const sectorEast = sector ? Math.sin(sector.middleRad) : 0
  const sectorSouth = sector ? -Math.cos(sector.middleRad) : 0
  const sectorCosine = sector ? Math.cos(sector.halfWidthRad) : -2
  const perSlopeStep = 1 / slopeStep
  const offsetStep = direction * fan.mainStride
  // Cells on the diagonal belong to the fans along the columns.
  const diagonalSlack = isColMain ? TIE : -TIE
  const lowest = firstSlope + first * slopeStep
  const highest = firstSlope + (first + count - 1) * slopeStep
  const counts = stepCounts.subarray(0, count)
  const end = counts.reduce((most, steps) => Math.max(most, steps), 0)
  const allUpTo = counts.reduce((least, steps) => Math.min(least, steps), end)

  for (let n = 0; n < end; n++) {
    const step = steps[n]
    const inverse = inverses[n]
    const reach = step + diagonalSlack
    const sideFrom = Math.max(lowest * step - TIE, -reach)
    const sideTo = Math.min(highest * step + TIE, reach)
    const cellEnd = Math.min(crossMax, Math.floor(crossOrigin + sideTo)) | 0
    const cellFrom = Math.max(0, Math.ceil(crossOrigin + sideFrom)) | 0
    let i = (fan.firstOffset + n * offsetStep + cellFrom * crossStride) | 0
    for (let cell = cellFrom; cell <= cellEnd; cell++, i += crossStride) {
      const side = cell - crossOrigin
      const place = (side * inverse - firstSlope) * perSlopeStep
      const rayBefore = place | 0
      const ray = rayBefore - first
      // At the border of the batch a cell may belong to its neighbour.
      if (ray < 0 || ray + 1 >= count) continue
      if (n >= allUpTo && (n >= stepCounts[ray] || n >= stepCounts[ray + 1])) continue
      const squaredCells = step * step + side * side
      if (squaredCells > squaredRadius) continue
      const lengthCells = Math.sqrt(squaredCells)
      if (sector) {
        const east = isColMain ? direction * step : side
        const south = isColMain ? side : direction * step
        if (east * sectorEast + south * sectorSouth < lengthCells * sectorCosine) continue
      }
      const weight = place - rayBefore
      const before = ray * stride + n
      const after = before + stride
      const distance = lengthCells * groundCellM
      const base = antennaAmslM + distance * distance * curvature - heights[i]
      const sightHeight =
        base + distance * (sight[before] + (sight[after] - sight[before]) * weight)
      const fresnelHeight =
        base + distance * (fresnel[before] + (fresnel[after] - fresnel[before]) * weight)
      sightM[i] = sightHeight
      fresnelM[i] = fresnelHeight
      edgeOfCell[i] = edge[weight < 0.5 ? before : after]
      if (anythingStands) {
        // Below the top of what stands on a cell there is no room at all.
        const top = (lengthCells <= clearingCells ? bare[i] : covered[i]) - heights[i]
        if (top > 0 && sightHeight < top) sightM[i] = top
        if (top > 0 && fresnelHeight < top) fresnelM[i] = top
      }
    }
  }
}
