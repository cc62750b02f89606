import { EARTH_RADIUS_M } from '../geodesy/earth'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { bilinear } from '../terrain/grid'

/** The ground as the sweep sees it. */
export interface SweepGround {
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
}

/** A sector seen from the launch point, by grid bearing: clockwise from the top of the grid. */
export interface SweepSector {
  readonly middleRad: number
  readonly halfWidthRad: number
}

/** Within this distance of the launch point a ray is sampled as finely as a path profile. */
const NEAR_FIELD_CELLS = 96
const NEAR_SAMPLES = NEAR_FIELD_CELLS / SAMPLE_STEP_CELLS
/** Widest gap between neighbouring rays, at the far end of the grid, cells. */
const RAY_SPACING_CELLS = 2
/** Below any slope on Earth: nothing in the way yet. */
const OPEN = -1e9
/** A smaller Fresnel coefficient than this is treated as this: then both fields agree. */
const LEAST_FRESNEL_COEFFICIENT = 1e-9
/** Rays cast in one call: enough for its scratch arrays to pay, few enough to be compiled soon. */
const RAYS_A_CALL = 64
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
  readonly rayCount: number

  /**
   * @param sightM receives the clear height for sight, metres above ground, cell by cell
   * @param fresnelM receives the clear height for Fresnel clearance
   */
  constructor(
    private readonly ground: SweepGround,
    private readonly settings: SweepSettings,
    private readonly sightM: Float32Array,
    private readonly fresnelM: Float32Array,
  ) {
    for (const isColMain of [true, false]) {
      for (const direction of [1, -1] as const) {
        const fan = makeFan(ground, settings, isColMain, direction)
        if (fan) this.fans.push(fan)
      }
    }
    this.rayCount = this.fans.reduce((sum, fan) => sum + fan.rayCount, 0)
  }

  /** Computes the cells between rays from - 1 and to - 1: all of them over 0 .. rayCount. */
  run(from: number, to: number): void {
    let offset = 0
    for (const fan of this.fans) {
      const first = Math.max(from - offset, 0)
      const last = Math.min(to - offset, fan.rayCount)
      for (let ray = first; ray < last; ray += RAYS_A_CALL) {
        const end = Math.min(last, ray + RAYS_A_CALL)
        sweepFan(this.ground, this.settings, fan, ray, end, this.sightM, this.fresnelM)
      }
      offset += fan.rayCount
    }
    if (from <= 0 && to > 0) this.writeLaunchCell()
  }

  /** The cell the launch point lies in, too near for any ray to have begun. */
  private writeLaunchCell(): void {
    const col = Math.round(this.settings.col)
    const row = Math.round(this.settings.row)
    const away = Math.hypot(col - this.settings.col, row - this.settings.row)
    if (away > OWN_GROUND_CELLS) return
    const i = row * this.ground.cols + col
    const value = Number.isNaN(this.ground.heights[i]) ? NaN : 0
    this.sightM[i] = value
    this.fresnelM[i] = value
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
  { heights, cols, rows }: SweepGround,
  { antennaAmslM, groundCellM, kFactor }: SweepSettings,
  fan: Fan,
  slope: number,
  stretch: number,
  slopes: Float64Array,
  inverses: Float64Array,
): void {
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  for (let sample = 0; sample < NEAR_SAMPLES; sample++) {
    const cells = (sample + 1) * SAMPLE_STEP_CELLS
    const main = fan.mainOrigin + (fan.direction * cells) / stretch
    const cross = fan.crossOrigin + (slope * cells) / stretch
    const height = fan.isColMain
      ? bilinear(heights, cols, rows, main, cross)
      : bilinear(heights, cols, rows, cross, main)
    const distanceM = cells * groundCellM
    inverses[sample] = 1 / distanceM
    slopes[sample] = (height - antennaAmslM) / distanceM - distanceM * curvature
  }
}

/**
 * Casts the rays first .. last - 1 of a fan and writes the cells between each and the one before.
 * One long function with its own scratch arrays on purpose: split into methods it took twice
 * the time in V8, which then reloads every array's address at every access.
 */
function sweepFan(
  ground: SweepGround,
  settings: SweepSettings,
  fan: Fan,
  first: number,
  last: number,
  sightM: Float32Array,
  fresnelM: Float32Array,
): void {
  const { heights } = ground
  const { antennaAmslM, groundCellM, radiusCells, sector } = settings
  const { isColMain, direction, crossOrigin, crossMax, crossStride } = fan
  const { steps, inverses, slopeStep } = fan
  const curvature = 1 / (2 * settings.kFactor * EARTH_RADIUS_M)
  const coefficient = Math.max(
    LEAST_FRESNEL_COEFFICIENT,
    settings.fresnelFraction * Math.sqrt(settings.wavelengthM),
  )
  const perCoefficient = 1 / coefficient
  const perSlopeStep = 1 / slopeStep
  const squaredRadius = radiusCells * radiusCells
  // A cell is in the sector when the cosine of its angle from the middle is large enough.
  const sectorEast = sector ? Math.sin(sector.middleRad) : 0
  const sectorSouth = sector ? -Math.cos(sector.middleRad) : 0
  const sectorCosine = sector ? Math.cos(sector.halfWidthRad) : -2
  const offsetStep = direction * fan.mainStride
  // Cells on the diagonal belong to the fans along the columns.
  const diagonalSlack = isColMain ? TIE : -TIE

  // Slopes needed just before each step, of the ray at hand and of the ray before it.
  let sight = new Float64Array(steps.length)
  let fresnel = new Float64Array(steps.length)
  let sightBefore = new Float64Array(steps.length)
  let fresnelBefore = new Float64Array(steps.length)
  const nearSlopes = new Float64Array(NEAR_SAMPLES)
  const nearInverses = new Float64Array(NEAR_SAMPLES)
  // The queue of future leaders: their s, their u, and the v at which each takes the lead
  // (Infinity for one that leads from its first moment).
  const leaderSlopes = new Float64Array(steps.length + NEAR_SAMPLES)
  const leaderInverses = new Float64Array(steps.length + NEAR_SAMPLES)
  const takeovers = new Float64Array(steps.length + NEAR_SAMPLES)

  let stepsBefore = 0
  for (let ray = Math.max(0, first - 1); ray < last; ray++) {
    const slope = fan.firstSlope + ray * slopeStep
    const slopeBefore = slope - slopeStep
    const stretch = Math.sqrt(1 + slope * slope)
    const metresPerStep = stretch * groundCellM
    const stepsPerMetre = 1 / metresPerStep
    const dropPerStep = metresPerStep * curvature
    if (sector && isOutside(sector, fan, slope)) {
      stepsBefore = 0
      continue
    }
    const stepCount = stepsWithin(fan, slope, stretch, radiusCells)
    const writtenSteps = ray < first ? 0 : Math.min(stepCount, stepsBefore)
    sampleNearField(ground, settings, fan, slope, stretch, nearSlopes, nearInverses)

    let highest = OPEN
    // Zero, and NaN for good once the ray has met missing data.
    let doubt = 0
    let head = 0
    let tail = 0
    let nearDone = 0
    let s = NaN
    let u = 0
    let mainOffset = fan.firstOffset
    for (let n = 0; n < stepCount; n++, mainOffset += offsetStep) {
      const step = steps[n]
      // Take in what lies between the last step and this one: the near samples up to the
      // target's own ground, or farther out the ground at the last step.
      const isNear = nearDone < NEAR_SAMPLES
      const nearEnd = isNear
        ? Math.min(
            NEAR_SAMPLES,
            Math.floor((step * stretch - OWN_GROUND_CELLS) / SAMPLE_STEP_CELLS),
          )
        : 0
      for (let more = isNear ? nearDone < nearEnd : true; more; more = nearDone < nearEnd) {
        if (isNear) {
          s = nearSlopes[nearDone]
          u = nearInverses[nearDone++]
        }
        if (s > highest) highest = s
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
      const needed =
        (tail > head
          ? leaderSlopes[head] + coefficient * Math.sqrt(leaderInverses[head] - u)
          : OPEN) + doubt
      const neededForSight = highest + doubt
      sight[n] = neededForSight
      fresnel[n] = needed

      const cross = crossOrigin + slope * step
      if (n < writtenSteps) {
        const crossBefore = crossOrigin + slopeBefore * step
        const cellMin = crossBefore + TIE
        const reach = step + diagonalSlack
        let cell = Math.min(crossMax, Math.floor(cross + TIE))
        for (; cell > cellMin && cell >= 0; cell--) {
          const side = cell - crossOrigin
          const squaredCells = step * step + side * side
          if (side > reach || side < -reach || squaredCells > squaredRadius) continue
          const lengthCells = Math.sqrt(squaredCells)
          if (sector) {
            const east = isColMain ? direction * step : side
            const south = isColMain ? side : direction * step
            if (east * sectorEast + south * sectorSouth < lengthCells * sectorCosine) continue
          }
          const weight = (cell - crossBefore) * inverses[n] * perSlopeStep
          const distance = lengthCells * groundCellM
          const i = mainOffset + cell * crossStride
          const base = antennaAmslM + distance * distance * curvature - heights[i]
          const sightHeight =
            base + distance * (sightBefore[n] + (neededForSight - sightBefore[n]) * weight)
          const fresnelHeight =
            base + distance * (fresnelBefore[n] + (needed - fresnelBefore[n]) * weight)
          // Written so that NaN stays NaN.
          sightM[i] = sightHeight < 0 ? 0 : sightHeight
          fresnelM[i] = fresnelHeight < 0 ? 0 : fresnelHeight
        }
      }

      // Beyond the border the ground goes on as it leaves, for the ray just outside.
      const lower = cross < 0 ? 0 : cross < crossMax ? cross | 0 : crossMax - 1
      const z = heights[mainOffset + lower * crossStride]
      const zNext = heights[mainOffset + lower * crossStride + crossStride]
      s = (z + (zNext - z) * (cross - lower) - antennaAmslM) * u - step * dropPerStep
    }
    stepsBefore = stepCount
    const [spareSight, spareFresnel] = [sightBefore, fresnelBefore]
    sightBefore = sight
    fresnelBefore = fresnel
    sight = spareSight
    fresnel = spareFresnel
  }
}
