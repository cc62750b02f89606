/**
 * Diffraction losses of Rec. ITU-R P.526: single knife edge, Bullington's construction over a
 * profile, the smooth spherical Earth, and the delta-Bullington method that joins the two. All
 * lengths in metres. Checked against the published validation paths in
 * test/reference/diffraction.test.ts.
 */

import { EXPONENT_BIAS, floatBits, MANTISSA_BITS } from './decibels'

/** A path profile for diffraction: both ends included, distances from 0 rising. */
export interface DiffractionPath {
  readonly distanceM: ArrayLike<number>
  /** What the path must clear, above sea level. */
  readonly surfaceM: ArrayLike<number>
  /** Antennas at the first and at the last point, above sea level. */
  readonly fromAmslM: number
  readonly toAmslM: number
  readonly effectiveRadiusM: number
  /** Points nearer than this to the far end are left out: its own ground. */
  readonly ownGroundM?: number
}

export interface DiffractionRadio {
  readonly wavelengthM: number
  readonly polarisation: 'horizontal' | 'vertical'
}

/** The parts of a delta-Bullington loss, dB. */
export interface DiffractionLoss {
  readonly bullingtonDb: number
  /** Bullington's construction over the smooth Earth, and the spherical Earth's own loss. */
  readonly smoothBullingtonDb: number
  readonly sphericalDb: number
  readonly totalDb: number
}

/** Antennas on the smooth Earth, or under it in a wood, are taken as so high, metres. */
const LEAST_HEIGHT_M = 0.1
/** Below this nu an edge takes nothing away. */
export const LEAST_NU = -0.78
/** Average land of the Recommendation: relative permittivity, and conductivity in S/m. */
const LAND_PERMITTIVITY = 22
const LAND_CONDUCTIVITY = 0.003
const SPEED_OF_LIGHT_M_GHZ = 0.299792458

/** Loss of one knife edge, dB. Source: Rec. ITU-R P.526, the approximation of J(nu). */
export function knifeEdgeLossDb(nu: number): number {
  if (nu <= LEAST_NU) return 0
  return 6.9 + 20 * Math.log10(Math.sqrt((nu - 0.1) ** 2 + 1) + nu - 0.1)
}

/** nu of an edge that rises above the ray (below zero: stays under it), from both ends. */
export function knifeEdgeNu(heightM: number, d1M: number, d2M: number, wavelengthM: number) {
  return heightM * Math.sqrt((2 * (d1M + d2M)) / (wavelengthM * d1M * d2M))
}

/**
 * Bullington's loss from that of his one equivalent edge, dB: irregular terrain costs more than
 * an edge. Source: Rec. ITU-R P.526, delta-Bullington method.
 */
export function bullingtonLossDb(edgeLossDb: number, distanceM: number): number {
  return edgeLossDb + (1 - Math.exp(-edgeLossDb / 6)) * (10 + (0.02 * distanceM) / 1000)
}

/**
 * nu of the equivalent edge of a path without line of sight, where the two horizon rays meet.
 * @param fromSlope slope of the ray from the first antenna to its horizon, over the curved Earth
 * @param toSlope the same from the second antenna, looking back
 * @param riseM the second antenna above the first
 */
export function equivalentEdgeNu(
  fromSlope: number,
  toSlope: number,
  riseM: number,
  distanceM: number,
  wavelengthM: number,
): number {
  const meetM = (riseM + toSlope * distanceM) / (fromSlope + toSlope)
  const d1M = Math.min(distanceM - 1e-3, Math.max(1e-3, meetM))
  const aboveRayM = d1M * (fromSlope - riseM / distanceM)
  return knifeEdgeNu(aboveRayM, d1M, distanceM - d1M, wavelengthM)
}

/** Table over nu squared from one octave to another, so many steps (a power of two) in each. */
const [FIRST_OCTAVE, LAST_OCTAVE] = [-20, 27]
const STEP_BITS = 7
const DROPPED_BITS = MANTISSA_BITS - STEP_BITS
const FIRST_STEP = (FIRST_OCTAVE + EXPONENT_BIAS) << STEP_BITS
const LAST_STEP = ((LAST_OCTAVE - FIRST_OCTAVE) << STEP_BITS) - 1
/** By step, Bullington's loss of a short path, and what each metre of a longer one adds. */
const EDGE_LOSSES = Float32Array.from({ length: 2 * (LAST_STEP + 1) }, (_, i) => {
  const octaves = (i >> 1) / (1 << STEP_BITS)
  const part = octaves % 1
  const halfStep = 0.5 / (1 << STEP_BITS)
  const squaredNu = 2 ** (FIRST_OCTAVE + octaves - part) * (1 + part + halfStep)
  const edge = knifeEdgeLossDb(Math.sqrt(squaredNu))
  const short = bullingtonLossDb(edge, 0)
  return i % 2 === 0 ? short : bullingtonLossDb(edge, 1) - short
})

/**
 * bullingtonLossDb(knifeEdgeLossDb(nu), distanceM) for nu >= 0 by its square, from a table for the
 * many paths of a whole site: within 0.02 dB of the formulas.
 */
export function tabulatedEdgeLossDb(squaredNu: number, distanceM: number): number {
  const place = (floatBits(squaredNu) >> DROPPED_BITS) - FIRST_STEP
  const step = place < 0 ? 0 : place < LAST_STEP ? place : LAST_STEP
  return EDGE_LOSSES[2 * step] + EDGE_LOSSES[2 * step + 1] * distanceM
}

/** Bullington's construction over a profile, dB. */
export function bullingtonDb(path: DiffractionPath, wavelengthM: number): number {
  const { distanceM, surfaceM, fromAmslM, toAmslM, effectiveRadiusM, ownGroundM = 0 } = path
  const last = distanceM.length - 1
  const length = distanceM[last]
  const direct = (toAmslM - fromAmslM) / length
  let [fromSlope, toSlope, worstNu] = [-Infinity, -Infinity, -Infinity]
  for (let i = 1; i < last; i++) {
    const d1 = distanceM[i]
    const d2 = length - d1
    if (d2 < ownGroundM) break
    const height = surfaceM[i] + (d1 * d2) / (2 * effectiveRadiusM)
    fromSlope = Math.max(fromSlope, (height - fromAmslM) / d1)
    toSlope = Math.max(toSlope, (height - toAmslM) / d2)
    const nu = knifeEdgeNu(height - fromAmslM - direct * d1, d1, d2, wavelengthM)
    worstNu = Math.max(worstNu, nu)
  }
  if (fromSlope === -Infinity) return 0
  const nu =
    fromSlope < direct
      ? worstNu
      : equivalentEdgeNu(fromSlope, toSlope, toAmslM - fromAmslM, length, wavelengthM)
  return bullingtonLossDb(knifeEdgeLossDb(nu), length)
}

/** Bullington's construction over the smooth Earth, antennas at heights above it, dB. */
export function smoothBullingtonDb(
  fromM: number,
  toM: number,
  distanceM: number,
  effectiveRadiusM: number,
  wavelengthM: number,
): number {
  fromM = Math.max(LEAST_HEIGHT_M, fromM)
  toM = Math.max(LEAST_HEIGHT_M, toM)
  // Over the bare bulge horizons and worst place have closed forms.
  const rise = toM - fromM
  const fromSlope = bulgeSlope(fromM, distanceM, effectiveRadiusM)
  let nu: number
  if (fromSlope >= rise / distanceM) {
    const toSlope = bulgeSlope(toM, distanceM, effectiveRadiusM)
    nu = equivalentEdgeNu(fromSlope, toSlope, rise, distanceM, wavelengthM)
  } else {
    const { d1M, d2M, clearanceM } = leastClear(fromM, toM, distanceM, effectiveRadiusM)
    nu = knifeEdgeNu(-clearanceM, d1M, d2M, wavelengthM)
  }
  return bullingtonLossDb(knifeEdgeLossDb(nu), distanceM)
}

/** Slope from an antenna to its horizon on the bulge of a path over the smooth Earth. */
function bulgeSlope(heightM: number, distanceM: number, effectiveRadiusM: number): number {
  const touchM = Math.min(distanceM, Math.sqrt(2 * effectiveRadiusM * heightM))
  return (distanceM - touchM) / (2 * effectiveRadiusM) - heightM / touchM
}

/**
 * The place of a path in sight over the smooth Earth that is least clear for the width of the Fresnel
 * zone there, and how far the path passes over it. Source: Rec. ITU-R P.526, "diffraction over a
 * spherical Earth".
 */
function leastClear(
  fromM: number,
  toM: number,
  distanceM: number,
  effectiveRadiusM: number,
): { d1M: number; d2M: number; clearanceM: number } {
  const sum = fromM + toM
  const c = (fromM - toM) / sum
  const m = distanceM ** 2 / (4 * effectiveRadiusM * sum)
  const cosine = ((3 * c) / 2) * Math.sqrt((3 * m) / (m + 1) ** 3)
  const angle = Math.acos(Math.max(-1, Math.min(1, cosine)))
  const b = 2 * Math.sqrt((m + 1) / (3 * m)) * Math.cos(Math.PI / 3 + angle / 3)
  const d1M = (distanceM / 2) * (1 + b)
  const d2M = distanceM - d1M
  const lineM = (fromM * d2M + toM * d1M) / distanceM
  return { d1M, d2M, clearanceM: lineM - (d1M * d2M) / (2 * effectiveRadiusM) }
}

/**
 * Diffraction loss over the smooth spherical Earth, dB.
 * Source: Rec. ITU-R P.526, "diffraction over a spherical Earth", first term of the residue series.
 */
export function sphericalEarthLossDb(
  fromM: number,
  toM: number,
  distanceM: number,
  effectiveRadiusM: number,
  radio: DiffractionRadio,
): number {
  fromM = Math.max(LEAST_HEIGHT_M, fromM)
  toM = Math.max(LEAST_HEIGHT_M, toM)
  const horizonM = Math.sqrt(2 * effectiveRadiusM) * (Math.sqrt(fromM) + Math.sqrt(toM))
  if (distanceM >= horizonM) {
    return firstTermLossDb(fromM, toM, distanceM, effectiveRadiusM, radio)
  }
  const { wavelengthM } = radio
  const { d1M, d2M, clearanceM } = leastClear(fromM, toM, distanceM, effectiveRadiusM)
  const neededM = CLEAR_FRESNEL_SHARE * Math.sqrt((wavelengthM * d1M * d2M) / distanceM)
  if (clearanceM > neededM) return 0
  // The effective radius at which the path would just touch.
  const touchingRadiusM = (0.5 * distanceM ** 2) / (Math.sqrt(fromM) + Math.sqrt(toM)) ** 2
  const loss = firstTermLossDb(fromM, toM, distanceM, touchingRadiusM, radio)
  return loss < 0 ? 0 : (1 - clearanceM / neededM) * loss
}

/** Share of the first Fresnel radius at which the spherical Earth's loss is nil. */
export const CLEAR_FRESNEL_SHARE = 17.456 / Math.sqrt(1000)

function firstTermLossDb(
  fromM: number,
  toM: number,
  distanceM: number,
  radiusM: number,
  { wavelengthM, polarisation }: DiffractionRadio,
): number {
  const ghz = SPEED_OF_LIGHT_M_GHZ / wavelengthM
  const [radiusKm, distanceKm] = [radiusM / 1000, distanceM / 1000]
  const ground = (18 * LAND_CONDUCTIVITY) / ghz
  let k = 0.036 * (radiusKm * ghz) ** (-1 / 3)
  k *= ((LAND_PERMITTIVITY - 1) ** 2 + ground ** 2) ** -0.25
  if (polarisation === 'vertical') k *= Math.sqrt(LAND_PERMITTIVITY ** 2 + ground ** 2)
  const beta = (1 + 1.6 * k ** 2 + 0.67 * k ** 4) / (1 + 4.5 * k ** 2 + 1.53 * k ** 4)
  const x = 21.88 * beta * (ghz / radiusKm ** 2) ** (1 / 3) * distanceKm
  const perMetre = 0.9575 * beta * (ghz ** 2 / radiusKm) ** (1 / 3)
  const fx =
    x >= 1.6 ? 11 + 10 * Math.log10(x) - 17.6 * x : -20 * Math.log10(x) - 5.6488 * x ** 1.425
  const leastGainDb = 2 + 20 * Math.log10(k)
  const fromGainDb = Math.max(leastGainDb, heightGainDb(beta * perMetre * fromM))
  const toGainDb = Math.max(leastGainDb, heightGainDb(beta * perMetre * toM))
  return -fx - fromGainDb - toGainDb
}

/** What an antenna gains by its height, dB, from the normalised height times beta (B in P.526). */
function heightGainDb(b: number): number {
  return b > 2
    ? 17.6 * Math.sqrt(b - 1.1) - 5 * Math.log10(b - 1.1) - 8
    : 20 * Math.log10(b + 0.1 * b ** 3)
}

/** The whole delta-Bullington method over a profile. */
export function deltaBullington(path: DiffractionPath, radio: DiffractionRadio): DiffractionLoss {
  const { distanceM, effectiveRadiusM } = path
  const length = distanceM[distanceM.length - 1]
  const { fromM, toM } = heightsOverSmoothEarth(path, smoothFitOf(path))
  const { wavelengthM } = radio
  const bullington = bullingtonDb(path, wavelengthM)
  const smooth = smoothBullingtonDb(fromM, toM, length, effectiveRadiusM, wavelengthM)
  const spherical = sphericalEarthLossDb(fromM, toM, length, effectiveRadiusM, radio)
  return {
    bullingtonDb: bullington,
    smoothBullingtonDb: smooth,
    sphericalDb: spherical,
    totalDb: bullington + Math.max(0, spherical - smooth),
  }
}

function smoothFitOf({ distanceM, surfaceM }: DiffractionPath): SmoothFit {
  const fit = new SmoothFit()
  for (let i = 1; i < distanceM.length; i++) {
    fit.add(distanceM[i - 1], surfaceM[i - 1], distanceM[i], surfaceM[i])
  }
  return fit
}

/**
 * Heights of both antennas over the smooth line through the terrain, held under obstacles.
 * @param fit the line through the whole profile; the path may then be its upper hull alone
 */
export function heightsOverSmoothEarth(
  path: DiffractionPath,
  fit: SmoothFit,
): { fromM: number; toM: number } {
  const { distanceM, surfaceM, fromAmslM, toAmslM } = path
  const last = distanceM.length - 1
  const length = distanceM[last]
  let [obstacle, fromAngle, toAngle] = [-Infinity, -Infinity, -Infinity]
  for (let i = 1; i < last; i++) {
    const d = distanceM[i]
    const above = surfaceM[i] - (fromAmslM * (length - d) + toAmslM * d) / length
    obstacle = Math.max(obstacle, above)
    fromAngle = Math.max(fromAngle, above / d)
    toAngle = Math.max(toAngle, above / (length - d))
  }
  const ends = fit.ends(length)
  // Without anything between the ends there are no angles either.
  const share = obstacle / (fromAngle + toAngle)
  const lowered = (endM: number, angle: number) => (obstacle > 0 ? endM - share * angle : endM)
  return {
    fromM: fromAmslM - Math.min(lowered(ends.fromM, fromAngle), surfaceM[0]),
    toM: toAmslM - Math.min(lowered(ends.toM, toAngle), surfaceM[last]),
  }
}

/**
 * Least-squares straight line through a terrain profile, from sums that grow with the path.
 * Source: Rec. ITU-R P.526 and P.1812, smooth-Earth surface.
 */
export class SmoothFit {
  private v1 = 0
  private v2 = 0

  add(fromM: number, fromHeightM: number, toM: number, toHeightM: number): void {
    const step = toM - fromM
    this.v1 += step * (toHeightM + fromHeightM)
    this.v2 += step * (toHeightM * (2 * toM + fromM) + fromHeightM * (toM + 2 * fromM))
  }

  /** Height of the line at both ends of a path of this length. */
  ends(lengthM: number): { fromM: number; toM: number } {
    const square = lengthM * lengthM
    return {
      fromM: (2 * this.v1 * lengthM - this.v2) / square,
      toM: (this.v2 - this.v1 * lengthM) / square,
    }
  }
}
