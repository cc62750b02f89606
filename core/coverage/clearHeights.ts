import { PilotError } from '../errors'
import type { LatLon } from '../geodesy/earth'
import { wavelengthM } from '../propagation/freeSpace'
import { checkRadio, resolveEnd, type RadioSettings, type ResolvedEnd } from '../propagation/path'
import { GridLocator, type TerrainGrid } from '../terrain/grid'
import type { SweepSettings } from './radialSweep'
import { SweepPool, type SweepOptions } from './sweepPool'
import type { FieldPair } from './sweepThread'

/** Everything the two clear-height fields depend on besides the terrain. */
export interface CoverageSettings {
  readonly launch: LatLon
  /** Ground antenna above ground, metres. */
  readonly antennaHeightM: number
  readonly radio: RadioSettings
  /** Farthest ground distance looked at, metres; null for the whole grid. */
  readonly radiusM: number | null
}

/**
 * The two fields of a site, on the grid of its terrain: the lowest height above ground, in
 * metres, at which a receiver over each cell has the launch antenna in sight, and at which the
 * wanted share of the first Fresnel zone is free as well. NaN where the terrain has no data and
 * beyond the radius.
 */
export interface ClearHeights extends FieldPair {
  readonly launch: ResolvedEnd
}

export interface ComputeOptions extends SweepOptions {
  /** Threads that already have this terrain's ground; the calling thread alone if not given. */
  readonly pool?: SweepPool
}

/**
 * Computes both fields. Throws a PilotError for settings without an answer, and the abort
 * reason when cancelled.
 */
export async function computeClearHeights(
  terrain: TerrainGrid,
  settings: CoverageSettings,
  { pool, ...options }: ComputeOptions = {},
): Promise<ClearHeights> {
  const { launch, sweep } = prepareSweep(terrain, settings)
  const threads = pool ?? SweepPool.local()
  if (!pool) await threads.setGround(terrain)
  return { ...(await threads.sweep(sweep, options)), launch }
}

/** Checks the settings against the terrain and turns them into grid terms. */
export function prepareSweep(
  terrain: TerrainGrid,
  { launch, antennaHeightM, radio, radiusM }: CoverageSettings,
): { launch: ResolvedEnd; sweep: SweepSettings } {
  checkRadio(radio)
  if (radiusM !== null && !(radiusM > 0)) {
    throw new PilotError(`The radius is ${radiusM / 1000} km; give one above 0, or none at all.`)
  }
  const locator = new GridLocator(terrain)
  const end = { ...launch, label: 'launch point', heightM: antennaHeightM }
  const resolved = resolveEnd(terrain, locator, end)
  const position = locator.toGrid(launch)
  const groundCellM = locator.groundCellM(position)
  return {
    launch: resolved,
    sweep: {
      ...position,
      antennaAmslM: resolved.antennaAmslM,
      groundCellM,
      kFactor: radio.kFactor,
      wavelengthM: wavelengthM(radio.frequencyMhz),
      fresnelFraction: radio.fresnelFraction,
      radiusCells: radiusM === null ? Infinity : radiusM / groundCellM,
    },
  }
}
