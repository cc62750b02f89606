import { EARTH_RADIUS_M } from '../geodesy/earth'
import {
  CLEAR_FRESNEL_SHARE,
  smoothBullingtonDb,
  sphericalEarthLossDb,
} from '../propagation/diffraction'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { bilinear } from '../terrain/grid'
import { isOutside, RAYS_A_CALL, stepsWithin, type Fan, type SweepGround } from './fan'
import { azimuthSteps, ELEVATIONS, type PathTask } from './pathField'

/** A ray so close to the launch point is sampled as finely as a path profile. */
const FINE_CELLS = 24
const FINE_SAMPLES = FINE_CELLS / SAMPLE_STEP_CELLS
/** There neighbouring rays go together while they are no farther apart than this, cells. */
const TOGETHER_CELLS = 0.4

/**
 * What the rays of one call find, ray by ray and step by step, for a receiver at the flying height
 * over the ray. One row more than rays is what a group of them has in common near the launch point.
 */
export class PathBatch {
  readonly stepCounts = new Int32Array(RAYS_A_CALL + 1)
  /** Azimuth of each ray as a part of directionOf. */
  readonly azimuths = new Int32Array(RAYS_A_CALL + 1)
  /**
   * The receiver's horizon, as two numbers that are blended from ray to ray: over the direct line
   * from a receiver at height z it stands at the angle (lift - z lever) / distance. The lever is the
   * way to the horizon over the way from it to the receiver, the lift in metres.
   */
  readonly lifts: Float32Array
  readonly levers: Float32Array
  /** What the smooth Earth adds to the loss of that receiver, dB, link by link. */
  readonly smoothDb: readonly Float32Array[]
  /** False while the smooth Earth adds nothing at all. */
  isSmoothFelt = false
  /** Where the row of a group begins. */
  readonly commonRow: number
  /** The ray under way, and what its group has in common. */
  readonly ray: RayState
  readonly common: RayState
  /** The first link's: all go the same way. */
  readonly task: PathTask
  readonly longestWavelengthM: number

  /**
   * @param links tasks of the links, see PathRequest
   * @param stride steps a ray can have
   */
  constructor(
    readonly links: readonly PathTask[],
    readonly stride: number,
  ) {
    this.task = links[0]
    this.longestWavelengthM = Math.max(...links.map(({ settings }) => settings.wavelengthM))
    const rows = RAYS_A_CALL + 2
    this.ray = new RayState(stride + FINE_SAMPLES)
    this.common = new RayState(stride + FINE_SAMPLES)
    this.lifts = new Float32Array(rows * stride)
    this.levers = new Float32Array(rows * stride)
    this.smoothDb = links.map(() => new Float32Array(rows * stride))
    this.commonRow = (rows - 1) * stride
  }

  /** Gives a ray the first steps of its group. */
  copyCommon(row: number, steps: number): void {
    for (const values of [this.lifts, this.levers, ...this.smoothDb]) {
      values.copyWithin(row, this.commonRow, this.commonRow + steps)
    }
  }
}

/**
 * Casts the rays first .. first + count - 1 of a fan into a batch, for all its links at once.
 *
 * Near the launch point rays lie much closer than they need: a group of them has one way there.
 */
export function castPathRays(
  ground: SweepGround,
  fan: Fan,
  first: number,
  count: number,
  batch: PathBatch,
): void {
  const { steps, slopeStep, isColMain } = fan
  const { task, stepCounts, azimuths, stride, ray, common } = batch
  const { sector, radiusCells } = task.settings
  batch.isSmoothFelt = false
  const group = Math.max(1, Math.floor(TOGETHER_CELLS / (slopeStep * FINE_CELLS)))
  let nearSteps = 0
  let leader = NaN
  for (let k = 0; k < count; k++) {
    const slope = fan.firstSlope + (first + k) * slopeStep
    stepCounts[k] = 0
    if (sector && isOutside(sector, fan, slope)) continue
    const itsLeader = (Math.floor((first + k) / group) + 0.5) * group
    if (itsLeader !== leader) {
      leader = itsLeader
      const along = fan.firstSlope + leader * slopeStep
      // The step at which all of the fine samples have been taken is the last of them.
      const end = (FINE_CELLS + OWN_GROUND_CELLS) / Math.hypot(1, along)
      nearSteps = steps.findIndex((step) => step >= end) + 1 || steps.length
      common.begin(task, ground)
      for (let n = 0; n < nearSteps; n++) {
        sampleFinely(ground, task, fan, along, common, n)
        const isLast = n === nearSteps - 1
        follow(ground, fan, along, common, n, n + 1, isLast, batch, batch.commonRow)
      }
    }
    const stretch = Math.hypot(1, slope)
    const stepCount = stepsWithin(fan, slope, stretch, radiusCells)
    stepCounts[k] = stepCount
    const [mainStep, crossStep] = [fan.direction, slope]
    const [east, south] = isColMain ? [mainStep, crossStep] : [crossStep, mainStep]
    azimuths[k] = azimuthSteps(Math.atan2(east, -south) - task.northRad) * ELEVATIONS
    batch.copyCommon(k * stride, Math.min(nearSteps, stepCount))
    ray.copy(common)
    follow(ground, fan, slope, ray, nearSteps, stepCount, true, batch, k * stride)
  }
}

/** A ray on its way: the upper hull of what it has met, and the sums of the straight-line fit. */
class RayState {
  /** Points of the hull: distances, and heights over the launch antenna less the curved Earth's drop. */
  readonly hullD: Float64Array
  readonly hullZ: Float64Array
  /** Slope from the point before; nothing is as steep as the first. */
  readonly hullSlopes: Float64Array
  size = 0
  /** Where on the hull the last receiver's horizon was. */
  touch = 0
  /** The launch antenna's horizon: its slope and where it is. */
  highest = -Infinity
  dHighest = 0
  fine = 0
  v1 = 0
  v2 = 0
  dBefore = 0
  hBefore = 0
  /** Ground at the launch point. */
  startM = 0

  constructor(points: number) {
    this.hullD = new Float64Array(points)
    this.hullZ = new Float64Array(points)
    this.hullSlopes = new Float64Array(points)
  }

  begin({ settings: { col, row } }: PathTask, { bare, cols, rows }: SweepGround): void {
    this.size = this.touch = this.fine = 0
    this.highest = -Infinity
    this.dHighest = this.v1 = this.v2 = this.dBefore = 0
    this.hBefore = this.startM = bilinear(bare, cols, rows, col, row)
  }

  copy(other: RayState): void {
    this.size = other.size
    this.touch = other.touch
    this.fine = other.fine
    this.highest = other.highest
    this.dHighest = other.dHighest
    this.v1 = other.v1
    this.v2 = other.v2
    this.dBefore = other.dBefore
    this.hBefore = other.hBefore
    this.startM = other.startM
    for (let i = 0; i < other.size; i++) {
      this.hullD[i] = other.hullD[i]
      this.hullZ[i] = other.hullZ[i]
      this.hullSlopes[i] = other.hullSlopes[i]
    }
  }
}

/** Takes in the ground near the launch point, every quarter of a cell up to the own ground of a step. */
function sampleFinely(
  { covered, bare, cols, rows }: SweepGround,
  { settings }: PathTask,
  { isColMain, direction, steps }: Fan,
  slope: number,
  ray: RayState,
  n: number,
): void {
  const { col, row, antennaAmslM, groundCellM, kFactor, clearingCells } = settings
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const stretch = Math.hypot(1, slope)
  const [mainStep, crossStep] = [direction / stretch, slope / stretch]
  const [colStep, rowStep] = isColMain ? [mainStep, crossStep] : [crossStep, mainStep]
  const end = Math.min(FINE_CELLS, steps[n] * stretch - OWN_GROUND_CELLS)
  for (; (ray.fine + 1) * SAMPLE_STEP_CELLS <= end; ray.fine++) {
    const cells = (ray.fine + 1) * SAMPLE_STEP_CELLS
    const seen = cells <= clearingCells ? bare : covered
    const height = bilinear(seen, cols, rows, col + colStep * cells, row + rowStep * cells)
    const d = cells * groundCellM
    const z = height - d * d * curvature - antennaAmslM
    if (z > ray.highest * d) {
      ray.highest = z / d
      ray.dHighest = d
    }
    if (ray.size > 0) {
      ray.size = pushOnHull(ray.hullD, ray.hullZ, ray.hullSlopes, ray.size, d, z)
    } else {
      ray.hullD[0] = d
      ray.hullZ[0] = z
      ray.hullSlopes[0] = Infinity
      ray.size = 1
    }
  }
}

/**
 * Goes on with a ray over the steps from .. to - 1. One long function for the same reason as the
 * radial sweep's.
 * @param takesGround false where finer samples have gone into the hull
 */
function follow(
  ground: SweepGround,
  fan: Fan,
  slope: number,
  ray: RayState,
  from: number,
  to: number,
  takesGround: boolean,
  batch: PathBatch,
  row: number,
): void {
  const { heights, covered, bare } = ground
  const { links, lifts, levers, smoothDb, longestWavelengthM } = batch
  const { settings, heightM } = batch.task
  const { antennaAmslM, groundCellM, clearingCells, kFactor } = settings
  const { crossOrigin, crossMax, crossStride, steps, firstOffset } = fan
  const { hullD, hullZ, hullSlopes, startM } = ray
  let { size, touch, highest, dHighest, v1, v2, dBefore, hBefore } = ray
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const stretch = Math.hypot(1, slope)
  const metresPerStep = stretch * groundCellM
  const offsetStep = fan.direction * fan.mainStride
  const receiverM = heightM - antennaAmslM
  const antennaAboveM = antennaAmslM - startM
  const zone = CLEAR_FRESNEL_SHARE * CLEAR_FRESNEL_SHARE * longestWavelengthM
  const anythingStands = covered !== heights

  for (let n = from; n < to; n++) {
    // The ground at this step, and a receiver over it.
    const step = steps[n]
    const d = step * metresPerStep
    const perD = 1 / d
    const drop = d * d * curvature
    const cross = crossOrigin + slope * step
    const lower = (cross < 0 ? 0 : cross < crossMax ? cross : crossMax - 1) | 0
    const at = (firstOffset + n * offsetStep + lower * crossStride) | 0
    const beside = (at + crossStride) | 0
    const weight = cross - lower
    const seen = step * stretch <= clearingCells ? bare : covered
    const own = seen[at] + (seen[beside] - seen[at]) * weight
    const rise =
      receiverM + (anythingStands ? heights[at] + (heights[beside] - heights[at]) * weight : own)
    const z = rise - drop

    // Its horizon is the tangent to the hull, seldom far from the last one's. In full sight of the
    // launch point there is nothing to look for.
    const shadow = highest * d - z
    let dTouch = dHighest
    let zTouch = highest * dHighest
    if (shadow > -groundCellM) {
      if (touch >= size) touch = size - 1
      while (hullZ[touch] - z < hullSlopes[touch] * (hullD[touch] - d)) touch--
      for (let next = touch + 1; next < size; next++) {
        if (hullZ[next] - z <= hullSlopes[next] * (hullD[next] - d)) break
        touch = next
      }
      dTouch = hullD[touch]
      zTouch = hullZ[touch]
    }
    const lever = dTouch / (d - dTouch)
    const lift = zTouch * (1 + lever)
    const out = row + n
    lifts[out] = lift
    levers[out] = lever

    // Heights over the smooth line through the ground.
    const gap = d - dBefore
    v1 += gap * (own + hBefore)
    v2 += gap * (own * (2 * d + dBefore) + hBefore * (d + 2 * dBefore))
    dBefore = d
    hBefore = own
    const toAmslM = antennaAmslM + rise
    let fromM = antennaAmslM - (2 * v1 * d - v2) * perD * perD
    let toM = toAmslM - (v2 - v1 * d) * perD * perD
    // It is lowered where ground stands over the direct line, by how high and by the angles of the
    // two horizons. The hull is highest over the curved line where it runs as that does.
    if (shadow > 0) {
      const run = z * perD
      let top = touch
      while (hullSlopes[top] < run) top--
      const dTop = hullD[top]
      const over = hullZ[top] - run * dTop - dTop * (d - dTop) * curvature
      const fromAngle = shadow * perD
      const toAngle = (lift - z * lever) * perD
      const lowered = over > 0 ? over / (fromAngle + toAngle) : 0
      fromM += lowered * fromAngle
      toM += lowered * toAngle
    }
    if (fromM < antennaAboveM) fromM = antennaAboveM
    if (toM < toAmslM - own) toM = toAmslM - own
    // Sufficient test that the smooth Earth stays out of the zone: the lower end clears the bulge
    // and the zone where they are widest.
    const spare = (fromM < toM ? fromM : toM) - drop / 4
    const isClear = spare > 0 && 4 * spare * spare > zone * d
    for (let k = 0; k < links.length; k++) {
      const excess = isClear ? 0 : smoothExcessDb(links[k], fromM, toM, d)
      smoothDb[k][out] = excess
      if (excess > 0) batch.isSmoothFelt = true
    }

    if (takesGround) {
      const zOwn = own - drop - antennaAmslM
      if (zOwn > highest * d) {
        highest = zOwn * perD
        dHighest = d
      }
      size = pushOnHull(hullD, hullZ, hullSlopes, size, d, zOwn)
    }
  }
  ray.size = size
  ray.touch = touch
  ray.highest = highest
  ray.dHighest = dHighest
  ray.v1 = v1
  ray.v2 = v2
  ray.dBefore = dBefore
  ray.hBefore = hBefore
}

/** What the smooth Earth adds to the loss of a path, by the antennas' heights over it, dB. */
function smoothExcessDb(
  { settings: { wavelengthM, kFactor }, polarisation }: PathTask,
  fromM: number,
  toM: number,
  d: number,
): number {
  const radiusM = kFactor * EARTH_RADIUS_M
  const zone = CLEAR_FRESNEL_SHARE * CLEAR_FRESNEL_SHARE * wavelengthM
  // Sufficient test: the path rises from its lower end faster than the zone widens, since
  // sqrt(zone x) <= zone x / (4 low) + low.
  const rise = Math.abs(toM - fromM) / d - d / (2 * radiusM)
  if (rise >= zone / (4 * Math.min(fromM, toM))) return 0
  const spherical = sphericalEarthLossDb(fromM, toM, d, radiusM, { wavelengthM, polarisation })
  if (!(spherical > 0)) return 0
  return Math.max(0, spherical - smoothBullingtonDb(fromM, toM, d, radiusM, wavelengthM))
}

/** Puts a point farther out on an upper hull and takes off what then lies under it; the new size. */
function pushOnHull(
  hullD: Float64Array,
  hullZ: Float64Array,
  hullSlopes: Float64Array,
  size: number,
  d: number,
  z: number,
): number {
  let last = size - 1
  while (z - hullZ[last] >= hullSlopes[last] * (d - hullD[last])) last--
  hullD[last + 1] = d
  hullZ[last + 1] = z
  hullSlopes[last + 1] = (z - hullZ[last]) / (d - hullD[last])
  return last + 2
}
