import { earthBulgeM, type LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import { PilotError } from '../errors'
import { GridLocator, groundAt, isInside, type TerrainGrid } from '../terrain/grid'
import { bareGround, surfaceAt, type SeenSurface } from '../surface/surface'
import { firstFresnelRadiusM } from './fresnel'
import { say } from '../words/say'
import { freeSpaceLossDb, wavelengthM } from './freeSpace'

/** Spacing of the samples along a path, in cells: fine enough to meet every facet of the ground. */
export const SAMPLE_STEP_CELLS = 0.25
/** The last stretch before the far end is the target's own ground and hides nothing, in cells. */
export const OWN_GROUND_CELLS = 0.5

/** What the radio path depends on besides the terrain. */
export interface RadioSettings {
  readonly frequencyMhz: number
  /** Effective Earth radius factor. */
  readonly kFactor: number
  /** Share of the first Fresnel zone's radius wanted free. */
  readonly fresnelFraction: number
}

/** One end of a path. */
export interface PathEnd extends LatLon {
  /** What the end is called in messages: "launch point", "target". */
  readonly label: string
  /** Height of the antenna above ground, metres. */
  readonly heightM: number
}

export interface ResolvedEnd extends PathEnd {
  /** Ground above sea level, metres. */
  readonly groundM: number
  /** Antenna above sea level, metres. */
  readonly antennaAmslM: number
}

/** The tightest place of a path: a clearance in metres, or its ratio to the Fresnel radius. */
export interface WorstPoint {
  readonly value: number
  readonly distanceM: number
  readonly sample: number
}

/** A path over the terrain: parallel arrays, one entry a sample, both ends included. */
export interface PathProfile {
  readonly from: ResolvedEnd
  readonly to: ResolvedEnd
  readonly distanceM: number
  readonly bearingDeg: number
  readonly freeSpaceLossDb: number
  readonly samples: {
    /** Along the ground from the launch end. */
    readonly distanceM: Float64Array
    /** Above sea level; NaN where the terrain has no data. */
    readonly groundM: Float64Array
    /** Ground with what stands on it, as far as it counts there. */
    readonly surfaceM: Float64Array
    /** Ground with obstacles alone. */
    readonly solidM: Float64Array
    /** Rise of the effective Earth over the chord. */
    readonly bulgeM: Float64Array
    /** Straight ray above sea level. */
    readonly rayM: Float64Array
    readonly fresnelRadiusM: Float64Array
    /** Ray above surface and bulge; negative where the surface is in the way. */
    readonly clearanceM: Float64Array
  }
  /** Least clearance, and least clearance in Fresnel radii; null on a path too short for any. */
  readonly worstClearance: WorstPoint | null
  readonly worstFresnel: WorstPoint | null
  /** Null where missing data on the path leaves the answer open. */
  readonly inSight: boolean | null
  readonly fresnelClear: boolean | null
  /** The last stretch, which is the target's own ground and hides nothing, metres. */
  readonly ownGroundM: number
  /** True where part of the path crosses missing data. */
  readonly crossesVoid: boolean
}

/**
 * Profile of the straight grid line between two ends, with the curved Earth, the ray and the
 * first Fresnel zone at every quarter of a cell. Distances are along the WGS 84 geodesic.
 * @param seen what stands on the terrain; nothing if not given
 * Throws a PilotError where an end is off the terrain, on missing data, or not a usable height.
 */
export function pathProfile(
  terrain: TerrainGrid,
  from: PathEnd,
  to: PathEnd,
  radio: RadioSettings,
  seen: SeenSurface = { ...bareGround(terrain), clearingM: 0 },
): PathProfile {
  checkRadio(radio)
  const locator = new GridLocator(terrain)
  const [start, end] = [resolveEnd(terrain, locator, from), resolveEnd(terrain, locator, to)]
  const [a, b] = [locator.toGrid(from), locator.toGrid(to)]
  const lengthCells = Math.hypot(b.col - a.col, b.row - a.row)
  const line = geodesic(from, to)
  if (lengthCells === 0 || line.distanceM === 0) {
    throw new PilotError(say('path.samePointMoveOne', { label: from.label, label2: to.label }))
  }

  const count = Math.ceil(lengthCells / SAMPLE_STEP_CELLS) + 1
  const samples = {
    distanceM: new Float64Array(count),
    groundM: new Float64Array(count),
    surfaceM: new Float64Array(count),
    solidM: new Float64Array(count),
    bulgeM: new Float64Array(count),
    rayM: new Float64Array(count),
    fresnelRadiusM: new Float64Array(count),
    clearanceM: new Float64Array(count),
  }
  const lambda = wavelengthM(radio.frequencyMhz)
  let worstClearance: WorstPoint | null = null
  let worstFresnel: WorstPoint | null = null
  let crossesVoid = false
  for (let i = 0; i < count; i++) {
    const cells = Math.min(lengthCells, i * SAMPLE_STEP_CELLS)
    const t = cells / lengthCells
    const d1 = t * line.distanceM
    const d2 = line.distanceM - d1
    const place = { col: a.col + (b.col - a.col) * t, row: a.row + (b.row - a.row) * t }
    const ground = groundAt(terrain, place)
    const surface = surfaceAt(seen, terrain, place, d1)
    const bulge = earthBulgeM(d1, d2, radio.kFactor)
    const ray = start.antennaAmslM + (end.antennaAmslM - start.antennaAmslM) * t
    const radius = firstFresnelRadiusM(d1, d2, lambda)
    const clearance = ray - surface - bulge
    samples.distanceM[i] = d1
    samples.groundM[i] = ground
    samples.surfaceM[i] = surface
    samples.solidM[i] = surfaceAt({ ...seen, clearingM: Infinity }, terrain, place, d1)
    samples.bulgeM[i] = bulge
    samples.rayM[i] = ray
    samples.fresnelRadiusM[i] = radius
    samples.clearanceM[i] = clearance
    // Of the target's own ground only what stands right there can hide it.
    const isInside = i === count - 1 && clearance < 0 && surface > ground
    if (i === 0 || (cells > lengthCells - OWN_GROUND_CELLS && !isInside)) continue
    if (Number.isNaN(ground)) crossesVoid = true
    if (clearance < (worstClearance?.value ?? Infinity)) {
      worstClearance = { value: clearance, distanceM: d1, sample: i }
    }
    if (i < count - 1 && clearance / radius < (worstFresnel?.value ?? Infinity)) {
      worstFresnel = { value: clearance / radius, distanceM: d1, sample: i }
    }
  }
  const inSight = (worstClearance?.value ?? 0) >= 0
  // Known ground in the way is in the way, whatever else is missing.
  const answer = (clear: boolean) => (clear && crossesVoid ? null : clear)
  return {
    from: start,
    to: end,
    distanceM: line.distanceM,
    bearingDeg: line.bearingDeg,
    freeSpaceLossDb: freeSpaceLossDb(
      Math.hypot(line.distanceM, end.antennaAmslM - start.antennaAmslM),
      radio.frequencyMhz,
    ),
    samples,
    worstClearance,
    worstFresnel,
    inSight: answer(inSight),
    fresnelClear: answer(inSight && (worstFresnel?.value ?? Infinity) >= radio.fresnelFraction),
    ownGroundM: (OWN_GROUND_CELLS * line.distanceM) / lengthCells,
    crossesVoid,
  }
}

/** Puts one end of a path on the ground. */
export function resolveEnd(terrain: TerrainGrid, locator: GridLocator, end: PathEnd): ResolvedEnd {
  checkPosition(end, end.label)
  if (!(end.heightM >= 0 && Number.isFinite(end.heightM))) {
    throw new PilotError(
      say('path.heightMHeightsAbove', { label: end.label, heightM: end.heightM }),
    )
  }
  const position = locator.toGrid(end)
  const place = say('path.the', {
    label: end.label,
    latDeg: end.latDeg.toFixed(5),
    lonDeg: end.lonDeg.toFixed(5),
  })
  if (!isInside(terrain, position)) {
    throw new PilotError(say('path.offTerrainChoosePoint', { place, name: terrain.name }))
  }
  const groundM = groundAt(terrain, position)
  if (Number.isNaN(groundM)) {
    throw new PilotError(say('path.whereTerrainHasNo', { place, name: terrain.name }))
  }
  return { ...end, groundM, antennaAmslM: groundM + end.heightM }
}

function checkPosition({ latDeg, lonDeg }: LatLon, label: string): void {
  if (!(Math.abs(latDeg) <= 90 && Math.abs(lonDeg) <= 360)) {
    throw new PilotError(say('path.badPosition', { label, latDeg, lonDeg }))
  }
}

/** Throws a PilotError that names the first setting without a usable value. */
export function checkRadio({ frequencyMhz, kFactor, fresnelFraction }: RadioSettings): void {
  if (!(frequencyMhz >= 100 && frequencyMhz <= 100_000)) {
    throw new PilotError(say('path.frequencyMhzGiveOne', { frequencyMhz }))
  }
  if (!(kFactor >= 0.3 && kFactor <= 1000)) {
    throw new PilotError(say('path.kFactorGiveOne', { kFactor }))
  }
  if (!(fresnelFraction >= 0 && fresnelFraction <= 1)) {
    throw new PilotError(say('path.fresnelFractionGiveOne', { fresnelFraction }))
  }
}
