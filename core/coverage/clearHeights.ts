import { PilotError, throwIfCancelled } from '../errors'
import type { LatLon } from '../geodesy/earth'
import { wavelengthM } from '../propagation/freeSpace'
import { checkRadio, resolveEnd, type RadioSettings, type ResolvedEnd } from '../propagation/path'
import { GridLocator, type TerrainGrid } from '../terrain/grid'
import { RadialSweep, type SweepSettings } from './radialSweep'

/** Everything the two clear-height fields depend on besides the terrain. */
export interface CoverageSettings {
  readonly launch: LatLon
  /** Ground antenna above ground, metres. */
  readonly antennaHeightM: number
  readonly radio: RadioSettings
  /** Farthest ground distance looked at, metres; null for the whole grid. */
  readonly radiusM: number | null
}

/** The two fields of a site, on the grid of its terrain. */
export interface ClearHeights {
  /**
   * Lowest height above ground, in metres, at which a receiver over each cell has the launch
   * antenna in sight; NaN where the terrain has no data or beyond the radius.
   */
  readonly sightM: Float32Array
  /** The same for the wanted share of the first Fresnel zone kept free. */
  readonly fresnelM: Float32Array
  readonly launch: ResolvedEnd
}

export interface ComputeOptions {
  readonly signal?: AbortSignal
  /** Called with the share done, 0 to 1. */
  readonly onProgress?: (share: number) => void
  /** Lets messages in between two batches of rays, so that work can be cancelled. */
  readonly pause?: () => Promise<void>
}

/** Rays between two looks at the clock, and the time a batch may take, milliseconds. */
const RAYS_PER_LOOK = 64
const BATCH_MS = 40

/**
 * Computes both fields. Throws a PilotError for settings without an answer, and the abort
 * reason when cancelled.
 */
export async function computeClearHeights(
  terrain: TerrainGrid,
  settings: CoverageSettings,
  { signal, onProgress, pause }: ComputeOptions = {},
): Promise<ClearHeights> {
  const { launch, sweep: sweepSettings } = prepareSweep(terrain, settings)
  const cells = terrain.cols * terrain.rows
  const sightM = new Float32Array(cells).fill(NaN)
  const fresnelM = new Float32Array(cells).fill(NaN)
  const sweep = new RadialSweep(terrain, sweepSettings, sightM, fresnelM)
  let batchStart = performance.now()
  for (let ray = 0; ray < sweep.rayCount; ray += RAYS_PER_LOOK) {
    sweep.run(ray, Math.min(sweep.rayCount, ray + RAYS_PER_LOOK))
    if (pause && performance.now() - batchStart > BATCH_MS) {
      onProgress?.(ray / sweep.rayCount)
      await pause()
      throwIfCancelled(signal)
      batchStart = performance.now()
    }
  }
  return { sightM, fresnelM, launch }
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
