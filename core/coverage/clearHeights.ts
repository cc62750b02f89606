import { PilotError } from '../errors'
import { say } from '../words/say'
import { plainNumber } from '../words/units'
import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import { wavelengthM } from '../propagation/freeSpace'
import { checkRadio, resolveEnd, type RadioSettings, type ResolvedEnd } from '../propagation/path'
import { GridLocator, type TerrainGrid } from '../terrain/grid'
import { bareGround, type Surface } from '../surface/surface'
import type { ClearFields } from './radialSweep'
import type { SweepSettings } from './fan'
import { SweepPool, type SweepOptions } from './sweepPool'

/** Everything the two clear-height fields depend on besides the terrain. */
export interface CoverageSettings {
  readonly launch: LatLon
  /** Ground antenna above ground, metres. */
  readonly antennaHeightM: number
  readonly radio: RadioSettings
  /** Farthest ground distance looked at, metres; null for the whole grid. */
  readonly radiusM: number | null
  /** The part of the horizon looked at; null for all around. */
  readonly sector: Sector | null
  /** Ground distance from the launch point within which no vegetation counts, metres. */
  readonly clearingM: number
}

/** A sector as a ground antenna covers it, by true bearing. */
export interface Sector {
  /** Direction of its middle, degrees clockwise from true north. */
  readonly azimuthDeg: number
  /** Whole angle, degrees, above 0 and at most 360. */
  readonly widthDeg: number
}

/**
 * The two fields of a site, on the grid of its terrain: the lowest height above ground, in
 * metres, at which a receiver over each cell has the launch antenna in sight, and at which the
 * wanted share of the first Fresnel zone is free as well. NaN where the terrain has no data,
 * behind such a place, beyond the radius and outside the sector.
 */
export interface ClearHeights extends ClearFields {
  readonly launch: ResolvedEnd
}

export interface ComputeOptions extends SweepOptions {
  /** Threads that already have this terrain's ground; the calling thread alone if not given. */
  readonly pool?: SweepPool
  /** What stands on the terrain; nothing if not given. */
  readonly surface?: Surface
}

/**
 * Computes both fields. Throws a PilotError for settings without an answer, and the abort
 * reason when cancelled.
 */
export async function computeClearHeights(
  terrain: TerrainGrid,
  settings: CoverageSettings,
  { pool, surface = bareGround(terrain), ...options }: ComputeOptions = {},
): Promise<ClearHeights> {
  const { launch, sweep } = prepareSweep(terrain, settings)
  const threads = pool ?? SweepPool.local()
  if (!pool) await threads.setGround({ ...terrain, ...surface })
  return { ...(await threads.sweep(sweep, options)), launch }
}

/** Coverage settings in terms of one grid. */
export interface PreparedSweep {
  readonly launch: ResolvedEnd
  readonly sweep: SweepSettings
  /** Grid bearing of true north at the launch point. */
  readonly northRad: number
}

/** Checks the settings against the terrain and turns them into grid terms. */
export function prepareSweep(
  terrain: TerrainGrid,
  { launch, antennaHeightM, radio, radiusM, sector, clearingM }: CoverageSettings,
): PreparedSweep {
  checkRadio(radio)
  if (radiusM !== null && !(radiusM > 0)) {
    throw new PilotError(say('clearHeights.radius', { radiusKm: plainNumber(radiusM / 1000) }))
  }
  if (sector) checkSector(sector)
  if (!(clearingM >= 0)) {
    throw new PilotError(say('clearHeights.clearing', { clearingM: plainNumber(clearingM) }))
  }
  const locator = new GridLocator(terrain)
  const end = { ...launch, label: say('common.launchPointInText'), heightM: antennaHeightM }
  const resolved = resolveEnd(terrain, locator, end)
  const position = locator.toGrid(launch)
  const groundCellM = locator.groundCellM(position)
  const northRad = gridBearingRad(locator, launch, 0)
  return {
    launch: resolved,
    northRad,
    sweep: {
      ...position,
      antennaAmslM: resolved.antennaAmslM,
      groundCellM,
      kFactor: radio.kFactor,
      wavelengthM: wavelengthM(radio.frequencyMhz),
      fresnelFraction: radio.fresnelFraction,
      radiusCells: radiusM === null ? Infinity : radiusM / groundCellM,
      clearingCells: clearingM / groundCellM,
      sector: sector && {
        middleRad: northRad + (sector.azimuthDeg * Math.PI) / 180,
        halfWidthRad: (sector.widthDeg * Math.PI) / 360,
      },
    },
  }
}

/** The clear heights as they are shown and written: never below the ground. */
export function aboveGround(heightsM: Float32Array): Float32Array {
  return heightsM.map((height) => (height < 0 ? 0 : height))
}

function checkSector({ azimuthDeg, widthDeg }: Sector): void {
  if (!Number.isFinite(azimuthDeg)) {
    throw new PilotError(say('clearHeights.azimuth', { azimuthDeg }))
  }
  if (!(widthDeg > 0 && widthDeg <= 360)) {
    throw new PilotError(say('clearHeights.width', { widthDeg: plainNumber(widthDeg) }))
  }
}

/** True bearing to grid bearing at a position: they differ by the convergence of the meridians. */
function gridBearingRad(locator: GridLocator, at: LatLon, azimuthDeg: number): number {
  const { col, row } = locator.toGrid(at)
  const upTheGrid = geodesic(at, locator.toLatLon({ col, row: row - 1 })).bearingDeg
  return ((azimuthDeg - upTheGrid) * Math.PI) / 180
}
