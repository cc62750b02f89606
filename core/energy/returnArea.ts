import {
  isOutside,
  makeFans,
  stepsWithin,
  type SweepGround,
  type SweepSettings,
} from '../coverage/fan'
import type { Flyer, Height } from './flight'

/** Directions and climbs for which the reach is worked out; between them it is taken linearly. */
const DIRECTIONS = 72
const CLIMBS = 32
/** Rounds of the search for a reach, by the secant. */
const ROUNDS = 6
/** And how near it must come, share of the charge. */
const TOLERANCE = 1e-4
const RAY_SPACING_CELLS = 1
const TIE = 1e-9

/**
 * Where an aircraft gets to and back from above its reserve, straight from the launch point: up
 * over it, out and back at one height over the highest ground on the way, and down. For every
 * cell the share of the reach in its direction that it lies away: 1 at the border, more beyond.
 *
 * Along each ray the highest ground so far says how high to climb; the reach by climb is worked
 * out beforehand for some directions.
 *
 * @param settings of the clear-height fields: launch point, cell and radius
 * @param northRad grid bearing of true north
 * @param heightM flown over the highest ground, metres
 */
export function returnShares(
  ground: SweepGround,
  settings: SweepSettings,
  northRad: number,
  launchGroundM: number,
  flyer: Flyer,
  heightM: number,
): Float32Array {
  const { covered, cols, rows } = ground
  const { radiusCells, sector, groundCellM } = settings
  const shares = new Float32Array(cols * rows).fill(NaN)
  const top = covered.reduce((most, height) => (height > most ? height : most), launchGroundM)
  const mostClimb = top + heightM - launchGroundM
  const reaches = reachTable(flyer, launchGroundM, heightM, mostClimb)
  const perClimb = (CLIMBS - 1) / Math.max(1, mostClimb - heightM)
  const reach = new Float64Array(CLIMBS + 1)

  for (const fan of makeFans(ground, settings, RAY_SPACING_CELLS)) {
    const { crossOrigin, crossMax, crossStride, steps, slopeStep, isColMain, firstOffset } = fan
    const offsetStep = fan.direction * fan.mainStride
    const diagonalSlack = isColMain ? TIE : -TIE
    for (let ray = 0; ray < fan.rayCount; ray++) {
      const slope = fan.firstSlope + ray * slopeStep
      if (sector && isOutside(sector, fan, slope)) continue
      const stretch = Math.sqrt(1 + slope * slope)
      const stepCount = stepsWithin(fan, slope, stretch, radiusCells)
      const [east, south] = isColMain ? [fan.direction, slope] : [slope, fan.direction]
      blendReach(reaches, Math.atan2(east, -south) - northRad, reach)
      let highest = launchGroundM
      for (let n = 0; n < stepCount; n++) {
        const step = steps[n]
        const cross = crossOrigin + slope * step
        const mainOffset = (firstOffset + n * offsetStep) | 0
        const lower = (cross < 0 ? 0 : cross < crossMax ? cross : crossMax - 1) | 0
        const at = (mainOffset + lower * crossStride) | 0
        const height =
          covered[at] + (covered[(at + crossStride) | 0] - covered[at]) * (cross - lower)
        // Missing ground makes the highest unknown for good.
        if (!(height <= highest)) highest = height
        const half = (slopeStep * step) / 2
        const reachCells = step + diagonalSlack
        const cellEnd = Math.min(crossMax, Math.floor(cross + half - TIE)) | 0
        let cell = Math.max(0, Math.ceil(cross - half - TIE)) | 0
        for (; cell <= cellEnd; cell++) {
          const side = cell - crossOrigin
          if (side > reachCells || side < -reachCells) continue
          const place = (highest - launchGroundM) * perClimb
          const bin = place | 0
          const most = reach[bin] + (reach[bin + 1] - reach[bin]) * (place - bin)
          const distance = Math.sqrt(step * step + side * side) * groundCellM
          shares[mainOffset + cell * crossStride] = Number.isNaN(highest) ? NaN : distance / most
        }
      }
    }
  }
  const launchCell = Math.round(settings.row) * cols + Math.round(settings.col)
  if (Number.isNaN(shares[launchCell])) shares[launchCell] = 0
  return shares
}

/** Reach of one true direction by climb, from the two nearest that were worked out. */
function blendReach(reaches: Float64Array, azimuthRad: number, reach: Float64Array): void {
  const turns = azimuthRad / (2 * Math.PI)
  const place = (turns - Math.floor(turns)) * DIRECTIONS
  const before = Math.floor(place) % DIRECTIONS
  const after = (before + 1) % DIRECTIONS
  const weight = place - Math.floor(place)
  for (let i = 0; i < CLIMBS; i++) {
    const [a, b] = [reaches[before * CLIMBS + i], reaches[after * CLIMBS + i]]
    reach[i] = a + (b - a) * weight
  }
  reach[CLIMBS] = reach[CLIMBS - 1]
}

/** Farthest distance out and back, by direction and by climb from heightM to mostClimbM, metres. */
function reachTable(
  flyer: Flyer,
  launchGroundM: number,
  heightM: number,
  mostClimbM: number,
): Float64Array {
  const reaches = new Float64Array(DIRECTIONS * CLIMBS)
  for (let direction = 0; direction < DIRECTIONS; direction++) {
    const trackDeg = (direction * 360) / DIRECTIONS
    for (let i = 0; i < CLIMBS; i++) {
      const climbM = heightM + ((mostClimbM - heightM) * i) / (CLIMBS - 1)
      reaches[direction * CLIMBS + i] = reachM(flyer, trackDeg, climbM, {
        aglM: heightM,
        amslM: launchGroundM + climbM,
      })
    }
  }
  return reaches
}

/**
 * Farthest distance straight out and back on a track, metres; 0 where the climb alone is too much
 * or the wind too strong.
 * @param climbM over the launch point, there and down again
 * @param height of the flight out and back, for wind and air
 */
export function reachM(flyer: Flyer, trackDeg: number, climbM: number, height: Height): number {
  const backDeg = (trackDeg + 180) % 360
  const out = flyer.bestAirspeedMs(trackDeg, height.aglM)
  const back = flyer.bestAirspeedMs(backDeg, height.aglM)
  if (out === null || back === null) return 0
  const up = flyer.vertical(flyer.start, climbM, height)
  if (!flyer.pack.holds(up.powerW, up.takenMah)) return 0
  const afterM = (distanceM: number) => {
    const there = flyer.along(up, distanceM, 0, trackDeg, height, out)
    const over = flyer.along(there, distanceM, 0, backDeg, height, back)
    return flyer.vertical(over, -climbM, height).takenMah
  }
  const [outW, backW] = [out, back].map((speed) => flyer.levelW(speed, height.amslM))
  const budget = flyer.budgetMah(Math.max(outW, backW, flyer.holdW(height)))
  let [a, afterA] = [0, afterM(0)]
  if (!(afterA < budget)) return 0
  // Charge grows nearly with distance, so the secant is there in a few rounds.
  let b = 1000
  let afterB = afterM(b)
  for (let round = 0; round < ROUNDS; round++) {
    while (Number.isNaN(afterB)) {
      b = (a + b) / 2
      afterB = afterM(b)
    }
    if (Math.abs(afterB - budget) < TOLERANCE * budget || afterB === afterA) break
    const next = b + ((budget - afterB) * (b - a)) / (afterB - afterA)
    ;[a, afterA, b] = [b, afterB, Math.max(1, next)]
    afterB = afterM(b)
  }
  // Rather a little short than a little beyond.
  return afterB <= budget ? b : (b * budget) / afterB
}
