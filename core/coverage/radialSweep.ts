import { EARTH_RADIUS_M } from '../geodesy/earth'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { bilinear } from '../terrain/grid'
import {
  cellsOf,
  forEachCall,
  isOutside,
  makeFans,
  RAYS_A_CALL,
  stepsWithin,
  type Fan,
  type SweepGround,
  type SweepSettings,
} from './fan'

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
/** Edge of a cell whose deciding ground lies right beside it. */
export const BESIDE_THE_CELL = 255

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
  private readonly fans: readonly Fan[]
  private readonly batch: RayBatch
  readonly rayCount: number

  /** @param fields receive what is found */
  constructor(
    private readonly ground: SweepGround,
    private readonly settings: SweepSettings,
    private readonly fields: ClearFields,
  ) {
    this.fans = makeFans(ground, settings, RAY_SPACING_CELLS)
    this.rayCount = this.fans.reduce((sum, fan) => sum + fan.rayCount, 0)
    this.batch = new RayBatch(Math.max(0, ...this.fans.map(({ steps }) => steps.length)))
  }

  /** Computes the cells between rays from - 1 and to - 1: all of them over 0 .. rayCount. */
  run(from: number, to: number): void {
    const { ground, settings, batch, fields } = this
    forEachCall(this.fans, from, to, (fan, first, count) => {
      castRays(ground, settings, fan, first, count, batch)
      writeCells(ground, settings, fan, first, count, batch, fields)
    })
    if (from <= 0 && to > 0) this.writeLaunchCell()
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
    const height = bilinear(seen, cols, rows, x, y)
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

/** Writes the cells between the rays of a batch, step by step. */
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
  const { isColMain, direction, crossOrigin, crossStride, steps, inverses, firstSlope } = fan
  const anythingStands = covered !== heights
  const curvature = 1 / (2 * settings.kFactor * EARTH_RADIUS_M)
  const squaredRadius = radiusCells * radiusCells
  // A cell is in the sector when the cosine of its angle from the middle is large enough.
  const sectorEast = sector ? Math.sin(sector.middleRad) : 0
  const sectorSouth = sector ? -Math.cos(sector.middleRad) : 0
  const sectorCosine = sector ? Math.cos(sector.halfWidthRad) : -2
  const perSlopeStep = 1 / fan.slopeStep
  const offsetStep = direction * fan.mainStride
  const counts = stepCounts.subarray(0, count)
  const end = counts.reduce((most, steps) => Math.max(most, steps), 0)
  const allUpTo = counts.reduce((least, steps) => Math.min(least, steps), end)

  for (let n = 0; n < end; n++) {
    const step = steps[n]
    const inverse = inverses[n]
    const { from, to } = cellsOf(fan, n, first, count)
    let i = (fan.firstOffset + n * offsetStep + from * crossStride) | 0
    for (let cell = from; cell <= to; cell++, i += crossStride) {
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
