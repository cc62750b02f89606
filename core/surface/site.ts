import { GridLocator, type TerrainGrid } from '../terrain/grid'
import type { Plan } from '../plan/plan'
import { standOnGrid } from './obstacle'
import { buildSurface, type Surface } from './surface'

/** A terrain with what stands on it. */
export interface Site {
  readonly terrain: TerrainGrid
  readonly locator: GridLocator
  readonly surface: Surface
}

/**
 * The site of a plan: its vegetation and obstacles on a terrain.
 * @param model heights of a surface model on the grid of the terrain; null for none
 */
export function siteOf(
  terrain: TerrainGrid,
  { vegetation, obstacles }: Pick<Plan, 'vegetation' | 'obstacles'>,
  model: Float32Array | null,
): Site {
  const locator = new GridLocator(terrain)
  const standing = obstacles.map((obstacle) => standOnGrid(obstacle, locator))
  return { terrain, locator, surface: buildSurface(terrain, vegetation, model, standing) }
}
