import { PilotError } from '../errors'
import type { TerrainGrid } from '../terrain/grid'
import { readOnto } from '../terrain/mosaic'
import type { WorkOptions } from '../terrain/terrainFile'
import { say } from '../words/say'
import type { TerrainSet } from '../terrain/terrainSet'

/** A second terrain as the surface of the first: trees, buildings and all. */
export interface SurfaceModel {
  readonly name: string
  /** Metres above sea level on the grid of the terrain; NaN where the model has no data. */
  readonly heights: Float32Array
  /** Share of the terrain that it covers, 0 to 1. */
  readonly share: number
}

/**
 * Brings a surface model onto the grid of a terrain: cell for cell where it lies on it, else
 * bilinear. Throws a PilotError where the two do not overlap.
 */
export async function surfaceModelOn(
  terrain: TerrainGrid,
  model: TerrainSet,
  options: WorkOptions = {},
): Promise<SurfaceModel> {
  const heights = new Float32Array(terrain.heights.length).fill(NaN)
  await readOnto(terrain, model.sheets, heights, options)
  let [ground, covered] = [0, 0]
  for (let i = 0; i < heights.length; i++) {
    if (Number.isNaN(terrain.heights[i])) heights[i] = NaN
    else ground++
    if (!Number.isNaN(heights[i])) covered++
  }
  if (covered === 0) {
    throw new PilotError(
      say('model.doesNotOverlapTerrain', { name: model.name, name2: terrain.name }),
    )
  }
  return { name: model.name, heights, share: covered / ground }
}
