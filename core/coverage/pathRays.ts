import { EARTH_RADIUS_M } from '../geodesy/earth'
import {
  CLEAR_FRESNEL_SHARE,
  smoothBullingtonDb,
  sphericalEarthLossDb,
} from '../propagation/diffraction'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { isOutside, RAYS_A_CALL, stepsWithin, type Fan, type SweepGround } from './fan'
import { azimuthSteps, ELEVATIONS, type PathTask } from './pathField'
import { PathRay, POINT, pushOnHull } from './pathRay'
import { RayGround } from './rayGround'
import type { Call } from './stages'

/** A ray so close to the launch point is sampled as finely as a path profile. */
const FINE_CELLS = 24
/** The step after which all fine samples have been taken is nearer than this. */
export const NEAR_CELLS = FINE_CELLS + OWN_GROUND_CELLS + 1
const FINE_SAMPLES = FINE_CELLS / SAMPLE_STEP_CELLS

/**
 * What the rays of one call find, ray by ray and step by step, for a receiver at the flying height
 * over the ray.
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
  /** The rays under way. */
  readonly rays: readonly PathRay[]
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
    const rows = RAYS_A_CALL + 1
    this.rays = Array.from({ length: rows }, () => new PathRay(stride + FINE_SAMPLES))
    this.lifts = new Float32Array(rows * stride)
    this.levers = new Float32Array(rows * stride)
    this.smoothDb = links.map(() => new Float32Array(rows * stride))
  }

  /** Makes ready for the next call. */
  clear(): void {
    if (this.isSmoothFelt) for (const values of this.smoothDb) values.fill(0)
    this.isSmoothFelt = false
  }
}

/**
 * Casts the rays of a call into a batch, for all its links at once: all through one stage, then
 * through the next.
 */
export function castPathRays(
  ground: SweepGround,
  { fan, stages, first, count }: Call,
  batch: PathBatch,
): void {
  const { firstSlope, slopeStep, isColMain, direction } = fan
  const { task, stepCounts, azimuths, stride, rays } = batch
  const { settings } = task
  const { sector, radiusCells } = settings
  // A ray that others branch off from may lie so much farther out.
  const raysBeside = stages[0].rays + 1
  batch.clear()
  for (let k = 0; k < count; k++) {
    const slope = firstSlope + (first + k) * slopeStep
    const isOut = sector !== null && isOutside(sector, fan, slope, raysBeside)
    stepCounts[k] = isOut ? 0 : stepsWithin(fan, slope, Math.hypot(1, slope), radiusCells)
    const [east, south] = isColMain ? [direction, slope] : [slope, direction]
    azimuths[k] = azimuthSteps(Math.atan2(east, -south) - task.northRad) * ELEVATIONS
  }
  let apart = count - 1
  for (const { rays: each, from, to } of stages) {
    for (let k = 0; k < count; k += each) {
      const beyond = k % apart
      if (from === 0 || beyond === 0 || stepCounts[k] <= from) continue
      const own = new RayGround(ground, settings, fan, firstSlope + (first + k) * slopeStep)
      const [before, after] = [rays[k - beyond], rays[k - beyond + apart]]
      const lastCells = fan.steps[from - 1] * own.stretch
      rays[k].branchOff(before, after, beyond / apart, own, lastCells, settings.groundCellM)
    }
    for (let k = 0; k < count; k += each) {
      const slope = firstSlope + (first + k) * slopeStep
      const end = Math.min(to, stepCounts[k])
      const begun = from > 0 ? from : beginNear(ground, fan, slope, end, batch, k)
      follow(ground, fan, slope, rays[k], begun, end, true, batch, k * stride)
    }
    apart = each
  }
}

/** Begins a ray with the steps for which it is sampled finely; how many. */
function beginNear(
  ground: SweepGround,
  fan: Fan,
  slope: number,
  end: number,
  batch: PathBatch,
  k: number,
): number {
  const { task, stride } = batch
  const ray = batch.rays[k]
  const own = new RayGround(ground, task.settings, fan, slope)
  ray.begin(task, ground)
  // The step at which all of the fine samples have been taken is the last of them.
  const nearEnd = (FINE_CELLS + OWN_GROUND_CELLS) / own.stretch
  const nearSteps = fan.steps.findIndex((step) => step >= nearEnd) + 1 || fan.steps.length
  const steps = Math.min(nearSteps, end)
  for (let n = 0; n < steps; n++) {
    const upTo = Math.min(FINE_CELLS, fan.steps[n] * own.stretch - OWN_GROUND_CELLS)
    takeFinely(own, ray, upTo, task.settings.groundCellM)
    const isLast = n === nearSteps - 1
    follow(ground, fan, slope, ray, n, n + 1, isLast, batch, k * stride)
  }
  return steps
}

/** Takes in the ground near the launch point, every quarter of a cell up to the own ground of a step. */
function takeFinely(own: RayGround, ray: PathRay, upTo: number, groundCellM: number): void {
  for (; (ray.fine + 1) * SAMPLE_STEP_CELLS <= upTo; ray.fine++) {
    const d = (ray.fine + 1) * SAMPLE_STEP_CELLS * groundCellM
    ray.meet(d, own.overAntennaM(d))
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
  ray: PathRay,
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
  const { crossOrigin, crossMax, crossStride, steps, inverses, firstOffset } = fan
  const { hull, startM } = ray
  let { end, touch, highest, dHighest, v1, v2, dBefore, hBefore } = ray
  const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
  const stretch = Math.sqrt(1 + slope * slope)
  const metresPerStep = stretch * groundCellM
  const stepsPerMetre = 1 / metresPerStep
  const offsetStep = fan.direction * fan.mainStride
  const receiverM = heightM - antennaAmslM
  const antennaAboveM = antennaAmslM - startM
  const zone = CLEAR_FRESNEL_SHARE * CLEAR_FRESNEL_SHARE * longestWavelengthM
  const anythingStands = covered !== heights

  for (let n = from; n < to; n++) {
    // The ground at this step, and a receiver over it.
    const step = steps[n]
    const d = step * metresPerStep
    const perD = inverses[n] * stepsPerMetre
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
      if (touch >= end) touch = end - POINT
      while (hull[touch + 1] - z < hull[touch + 2] * (hull[touch] - d)) touch -= POINT
      for (let next = touch + POINT; next < end; next += POINT) {
        if (hull[next + 1] - z <= hull[next + 2] * (hull[next] - d)) break
        touch = next
      }
      dTouch = hull[touch]
      zTouch = hull[touch + 1]
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
      while (hull[top + 2] < run) top -= POINT
      const dTop = hull[top]
      const over = hull[top + 1] - run * dTop - dTop * (d - dTop) * curvature
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
    if (!isClear) {
      for (let k = 0; k < links.length; k++) {
        const excess = smoothExcessDb(links[k], fromM, toM, d)
        smoothDb[k][out] = excess
        if (excess > 0) batch.isSmoothFelt = true
      }
    }

    if (takesGround) {
      const zOwn = own - drop - antennaAmslM
      // As PathRay.meet does.
      if (zOwn > highest * d) {
        highest = zOwn * perD
        dHighest = d
        end = 0
      }
      end = pushOnHull(hull, end, d, zOwn)
    }
  }
  ray.end = end
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
