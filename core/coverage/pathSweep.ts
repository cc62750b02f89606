import { EARTH_RADIUS_M } from '../geodesy/earth'
import {
  bullingtonLossDb,
  CLEAR_FRESNEL_SHARE,
  knifeEdgeLossDb,
  smoothBullingtonDb,
  sphericalEarthLossDb,
  tabulatedEdgeLossDb,
} from '../propagation/diffraction'
import { freeSpaceLossDb } from '../propagation/freeSpace'
import { OWN_GROUND_CELLS, SAMPLE_STEP_CELLS } from '../propagation/path'
import { bilinear } from '../terrain/grid'
import { fastDecibels } from '../propagation/decibels'
import { isOutside, makeFans, stepsWithin, type Fan, type SweepGround } from './fan'
import {
  azimuthSteps,
  directionOf,
  elevationIndex,
  ELEVATIONS,
  geometryOf,
  type PathField,
  type PathTask,
} from './pathField'
import { BESIDE_THE_CELL, type ClearFields } from './radialSweep'

/** Cells are answered by one ray alone, so rays lie closer than those that are blended. */
const RAY_SPACING_CELLS = 1
/** A ray so close to the launch point is sampled finely. */
const FINE_CELLS = 24
const PER_EDGE = 1 / BESIDE_THE_CELL
/** The way to the deciding ground over the way from it to the receiver, at the least, by edge. */
const WAYS = Float64Array.from({ length: BESIDE_THE_CELL + 1 }, (_, edge) => {
  const way = Math.min(edge, BESIDE_THE_CELL - 1) / BESIDE_THE_CELL
  return way / (1 - way)
})
/**
 * Metres that ground rises on a metre at the most (63 degrees), where a way is looked along for the
 * zone: own choice, judged by test/reference/diffractionField.test.ts.
 */
const STEEPEST_RISE = 2
const FINE_SAMPLES = FINE_CELLS / SAMPLE_STEP_CELLS
const TIE = 1e-9

/**
 * Path losses over a whole site at one flying height, ray by ray: free space (Rec. ITU-R P.525)
 * and delta-Bullington diffraction (Rec. ITU-R P.526), consistent with the loss of each path's
 * profile.
 *
 * *Launch side.* The clear height for sight is the horizon slope seen from the launch antenna.
 *
 * *Receiver's side.* With the drop of the curved Earth taken off the ground, the bulge of every path
 * over it is a straight line, so one upper hull of the ray serves receivers at every distance:
 * their horizon is the tangent to it. The ground that decides on sight bounds it from below.
 *
 * *Touched zone.* The few cells in sight whose Fresnel zone is not free look along their own straight
 * way for the worst place: between that of the nearest ray and it lie whole decibels.
 *
 * *Blocked.* With the angles a and b of the two horizons over the direct line, the equivalent edge
 * stands where they meet, and its nu has the square 2 a b D / lambda: no root, no place to find.
 *
 * *Smooth Earth.* The sums of the straight-line fit grow along the ray. Most paths in mountains lie
 * so high over it that its term is nil, which two short sufficient tests find.
 *
 * Accuracy against the profile: test/reference/diffractionField.test.ts.
 */
export class PathSweep {
  private readonly fans: readonly Fan[]
  readonly rayCount: number

  /**
   * @param fields the clear heights of the task's settings
   * @param paths receive what is found; cells without an answer are left alone
   */
  constructor(
    private readonly ground: SweepGround,
    private readonly fields: ClearFields,
    private readonly task: PathTask,
    private readonly paths: PathField,
  ) {
    this.fans = makeFans(ground, task.settings, RAY_SPACING_CELLS)
    this.rayCount = this.fans.reduce((sum, fan) => sum + fan.rayCount, 0)
  }

  /** Answers the cells nearest to the rays from .. to - 1. */
  run(from: number, to: number): void {
    let offset = 0
    for (const fan of this.fans) {
      const first = Math.max(from - offset, 0)
      const last = Math.min(to - offset, fan.rayCount)
      if (first < last) this.addTouched(this.castRays(fan, first, last))
      offset += fan.rayCount
    }
    if (from <= 0 && to > 0) this.writeLaunchCell()
  }

  private writeLaunchCell(): void {
    const { col, row } = this.task.settings
    const i = Math.round(row) * this.ground.cols + Math.round(col)
    const isSeen = this.fields.sightM[i] <= this.task.heightM
    if (!Number.isNaN(this.paths.lossDb[i]) || !isSeen) return
    const { slantM, azimuthDeg, elevationDeg } = geometryOf(this.ground, this.task, i)
    this.paths.lossDb[i] = freeSpaceLossDb(slantM, this.task.frequencyMhz)
    this.paths.directions[i] = directionOf(azimuthDeg, elevationDeg)
  }

  /**
   * One long function for the same reason as the radial sweep's.
   * @returns cells in sight whose Fresnel zone is not free: their losses still lack what it takes
   */
  private castRays(fan: Fan, first: number, last: number): number[] {
    const touched: number[] = []
    const { ground, task } = this
    const { settings, heightM: flyingHeightM, northRad } = task
    const { heights, covered, bare, cols, rows } = ground
    const { sightM, fresnelM, edge } = this.fields
    const { lossDb, directions } = this.paths
    const { col, row, antennaAmslM, groundCellM, radiusCells, sector } = settings
    const { clearingCells, wavelengthM } = settings
    const { crossOrigin, crossMax, crossStride, steps, slopeStep, isColMain } = fan
    const curvature = 1 / (2 * settings.kFactor * EARTH_RADIUS_M)
    const offsetStep = fan.direction * fan.mainStride
    const diagonalSlack = isColMain ? TIE : -TIE
    const squaredRadius = radiusCells * radiusCells
    const squaredCellM = groundCellM * groundCellM
    const lossOfMetre = freeSpaceLossDb(1, task.frequencyMhz)
    const start = bilinear(bare, cols, rows, settings.col, settings.row)
    const antennaAboveM = antennaAmslM - start
    const perWavelength = 2 / wavelengthM
    const zone = CLEAR_FRESNEL_SHARE * CLEAR_FRESNEL_SHARE * wavelengthM
    const radio = { wavelengthM, polarisation: task.polarisation }
    // The upper hull of the ray so far: distances, and heights less the drop of the curved Earth.
    const hullD = new Float64Array(steps.length + FINE_SAMPLES)
    const hullZ = new Float64Array(steps.length + FINE_SAMPLES)

    for (let ray = first; ray < last; ray++) {
      const slope = fan.firstSlope + ray * slopeStep
      if (sector && isOutside(sector, fan, slope)) continue
      const stretch = Math.sqrt(1 + slope * slope)
      const stepCount = stepsWithin(fan, slope, stretch, radiusCells)
      const metresPerStep = stretch * groundCellM
      const [mainStep, crossStep] = [fan.direction / stretch, slope / stretch]
      const [colStep, rowStep] = isColMain ? [mainStep, crossStep] : [crossStep, mainStep]
      const bearing = Math.atan2(colStep, -rowStep) - northRad
      const direction = azimuthSteps(bearing) * ELEVATIONS
      let fine = 0
      let size = 0
      let v1 = 0
      let v2 = 0
      let dBefore = 0
      let hBefore = start
      let highest = -Infinity
      let dHighest = 0
      for (let n = 0; n < stepCount; n++) {
        const step = steps[n]
        const cross = crossOrigin + slope * step
        const mainOffset = (fan.firstOffset + n * offsetStep) | 0
        // Close to the launch point every quarter of a cell goes into the hull.
        const fineEnd = Math.min(FINE_CELLS, step * stretch - OWN_GROUND_CELLS)
        for (; (fine + 1) * SAMPLE_STEP_CELLS <= fineEnd; fine++) {
          const cells = (fine + 1) * SAMPLE_STEP_CELLS
          const x = col + colStep * cells
          const y = row + rowStep * cells
          const height = bilinear(cells <= clearingCells ? bare : covered, cols, rows, x, y)
          const d = cells * groundCellM
          const z = height - d * d * curvature
          const s = (z - antennaAmslM) / d
          if (s > highest) {
            highest = s
            dHighest = d
          }
          size = pushOnHull(hullD, hullZ, size, d, z)
        }
        const half = (slopeStep * step) / 2
        const reach = step + diagonalSlack
        const cellEnd = Math.min(crossMax, Math.floor(cross + half - TIE)) | 0
        let cell = Math.max(0, Math.ceil(cross - half - TIE)) | 0
        for (; cell <= cellEnd; cell++) {
          const side = cell - crossOrigin
          const squaredCells = step * step + side * side
          if (side > reach || side < -reach || squaredCells > squaredRadius) continue
          const i = (mainOffset + cell * crossStride) | 0
          const sight = sightM[i]
          if (Number.isNaN(sight)) continue
          const d = Math.sqrt(squaredCells) * groundCellM
          const perD = 1 / d
          const groundM = heights[i]
          const to = groundM + flyingHeightM
          const rise = to - antennaAmslM
          const direct = rise * perD
          // Angles of the two horizons over the direct line.
          let fromAngle = 0
          let toAngle = 0
          let loss = 0
          if (sight > flyingHeightM) {
            fromAngle = (sight - flyingHeightM) * perD
            // The deciding ground, which another ray may have met, is in the way at least.
            toAngle = fromAngle * WAYS[edge[i]]
            if (size > 0) {
              // The receiver's horizon: the tangent from it to the hull.
              const z = to - d * d * curvature
              let touch = size - 1
              let up = hullZ[touch] - z
              let along = d - hullD[touch]
              while (touch > 0) {
                const nextUp = hullZ[touch - 1] - z
                const nextAlong = d - hullD[touch - 1]
                if (nextUp * along <= up * nextAlong) break
                touch--
                up = nextUp
                along = nextAlong
              }
              const dTouch = hullD[touch]
              if (dTouch === dHighest) {
                // One ridge decides on both sides: as high over the line as sight has it.
                toAngle = (fromAngle * dTouch) / along
              } else {
                const angle = up / along - d * curvature + direct
                if (angle > toAngle) toAngle = angle
              }
            }
            const squaredNu = perWavelength * d * fromAngle * toAngle
            loss = tabulatedEdgeLossDb(squaredNu, d)
          } else if (fresnelM[i] > flyingHeightM) {
            touched.push(i)
          }

          // Heights over the smooth line through the ground, with the last stretch to this cell.
          const own = step * stretch <= clearingCells ? bare[i] : covered[i]
          const gap = d - dBefore
          const w1 = v1 + gap * (own + hBefore)
          const w2 = v2 + gap * (own * (2 * d + dBefore) + hBefore * (d + 2 * dBefore))
          let fromM = antennaAmslM - (2 * w1 * d - w2) * perD * perD
          let toM = to - (w2 - w1 * d) * perD * perD
          const sum = fromAngle + toAngle
          const perSum = sum > 0 ? 1 / sum : 0
          // The ground that decides on sight stands at least so high over the direct line; the
          // higher, the lower lies the smooth line. Sufficient test that the smooth Earth then stays
          // out of the zone: the lower end clears the bulge and the zone where they are widest.
          const least = fromAngle * d * (edge[i] * PER_EDGE) * perSum
          const lowest = Math.min(
            Math.max(fromM + least * fromAngle, antennaAboveM),
            Math.max(toM + least * toAngle, to - own),
          )
          const spare = lowest - (d * d * curvature) / 4
          let isHigh = spare > 0 && 4 * spare * spare > zone * d
          if (!isHigh) {
            if (sum > 0) {
              // The highest ground over the direct line: where the hull runs as it does.
              const run = direct - d * curvature
              let left = 0
              let right = size - 1
              while (left < right) {
                const middle = (left + right) >> 1
                const rises =
                  hullZ[middle + 1] - hullZ[middle] > run * (hullD[middle + 1] - hullD[middle])
                if (rises) left = middle + 1
                else right = middle
              }
              const dTop = hullD[left]
              const top = hullZ[left] + dTop * dTop * curvature - antennaAmslM - direct * dTop
              const share = Math.max(0, top) * perSum
              fromM += share * fromAngle
              toM += share * toAngle
            }
            fromM = Math.max(fromM, antennaAboveM)
            toM = Math.max(toM, to - own)
            // Another: the path rises from the lower end faster than the zone widens, since
            // sqrt(zone x) <= zone x / (4 low) + low.
            isHigh =
              Math.abs(toM - fromM) * perD - d * curvature >= zone / (4 * Math.min(fromM, toM))
          }
          if (!isHigh) {
            const radius = 1 / (2 * curvature)
            const spherical = sphericalEarthLossDb(fromM, toM, d, radius, radio)
            if (spherical > 0) {
              const smooth = smoothBullingtonDb(fromM, toM, d, radius, wavelengthM)
              if (spherical > smooth) loss += spherical - smooth
            }
          }
          const squaredSlant = Math.max(0.25, squaredCells) * squaredCellM + rise * rise
          lossDb[i] = loss + lossOfMetre + fastDecibels(squaredSlant)
          directions[i] = direction + elevationIndex(direct - d * curvature)
        }
        // Take the ground at this step into the hull and the sums.
        const seen = step * stretch <= clearingCells ? bare : covered
        const lower = (cross < 0 ? 0 : cross < crossMax ? cross : crossMax - 1) | 0
        const at = (mainOffset + lower * crossStride) | 0
        const height = seen[at] + (seen[(at + crossStride) | 0] - seen[at]) * (cross - lower)
        const d = step * metresPerStep
        if (fine === FINE_SAMPLES) {
          const z = height - d * d * curvature
          const s = (z - antennaAmslM) / d
          if (s > highest) {
            highest = s
            dHighest = d
          }
          size = pushOnHull(hullD, hullZ, size, d, z)
        }
        const gap = d - dBefore
        v1 += gap * (height + hBefore)
        v2 += gap * (height * (2 * d + dBefore) + hBefore * (d + 2 * dBefore))
        dBefore = d
        hBefore = height
      }
    }
    return touched
  }

  /** Adds what the ground in the Fresnel zone takes to the losses of cells in sight. */
  private addTouched(cells: readonly number[]): void {
    const { cols, heights } = this.ground
    const { settings, heightM } = this.task
    for (const i of cells) {
      const [toCol, toRow] = [i % cols, Math.floor(i / cols)]
      const d = Math.hypot(toCol - settings.col, toRow - settings.row) * settings.groundCellM
      const direct = (heights[i] + heightM - settings.antennaAmslM) / d
      const nu = this.worstNu(toCol, toRow, d, direct)
      this.paths.lossDb[i] += bullingtonLossDb(knifeEdgeLossDb(nu), d)
    }
  }

  /**
   * The largest nu on the straight way to a receiver in sight, from the samples of its profile. Where
   * the ground lies far under the zone, those that it cannot rise to it by are left out.
   */
  private worstNu(toCol: number, toRow: number, distanceM: number, direct: number): number {
    const { bare, covered, cols, rows } = this.ground
    const { settings } = this.task
    const { col, row, groundCellM, antennaAmslM, kFactor, wavelengthM, clearingCells } = settings
    const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
    const lengthCells = distanceM / groundCellM
    const colStep = (toCol - col) / lengthCells
    const rowStep = (toRow - row) / lengthCells
    const widestM = Math.sqrt(wavelengthM * distanceM) / 2
    const samplesAMetre = 1 / (STEEPEST_RISE * groundCellM * SAMPLE_STEP_CELLS)
    const last = Math.floor((lengthCells - OWN_GROUND_CELLS) / SAMPLE_STEP_CELLS)
    // Squares with the sign of the height over the line, so that one root is enough.
    let worst = -Infinity
    for (let sample = 1; sample <= last;) {
      const cells = sample * SAMPLE_STEP_CELLS
      const seen = cells <= clearingCells ? bare : covered
      const height = bilinear(seen, cols, rows, col + colStep * cells, row + rowStep * cells)
      const d1 = cells * groundCellM
      const d2 = distanceM - d1
      const above = height + d1 * d2 * curvature - antennaAmslM - direct * d1
      const square = (above * Math.abs(above)) / (d1 * d2)
      if (square > worst) worst = square
      sample += Math.max(1, ((-above - widestM) * samplesAMetre) | 0)
    }
    if (worst === -Infinity) return worst
    return Math.sign(worst) * Math.sqrt((Math.abs(worst) * 2 * distanceM) / wavelengthM)
  }
}

/** Puts a point farther out on an upper hull and takes off what then lies under it; the new size. */
function pushOnHull(
  hullD: Float64Array,
  hullZ: Float64Array,
  size: number,
  d: number,
  z: number,
): number {
  let last = size - 1
  while (
    last > 0 &&
    (hullZ[last] - hullZ[last - 1]) * (d - hullD[last - 1]) <=
      (z - hullZ[last - 1]) * (hullD[last] - hullD[last - 1])
  ) {
    last--
  }
  hullD[last + 1] = d
  hullZ[last + 1] = z
  return last + 2
}
