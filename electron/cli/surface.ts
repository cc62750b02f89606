import { basename } from 'node:path'
import type { Plan } from '../../core/plan/plan'
import { readObstacles, standOnGrid } from '../../core/surface/obstacle'
import { siteOf, type Site } from '../../core/surface/site'
import { buildSurface, type SeenSurface } from '../../core/surface/surface'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { readModel, readTerrain, type TerrainOptions } from './terrain'
import { readText } from './textFile'

/** What stands on the terrain, as the command line takes it. */
export interface SurfaceOptions {
  /** Uniform vegetation, metres. */
  readonly vegetation: number
  readonly treeLine?: number
  /** Around the launch point, metres. */
  readonly clearing: number
  /** Path of a surface model. */
  readonly surface?: string
  /** Path of a GeoJSON file. */
  readonly obstacles?: string
}

export async function readSurface(
  terrain: TerrainGrid,
  options: SurfaceOptions,
): Promise<SeenSurface> {
  const { vegetation, treeLine, clearing, surface, obstacles } = options
  const model = surface ? await readModel(terrain, surface) : null
  const locator = new GridLocator(terrain)
  const standing = obstacles
    ? readObstacles(await readText(obstacles, 'a GeoJSON file'), basename(obstacles))
    : []
  return {
    ...buildSurface(
      terrain,
      { heightM: vegetation, treeLineM: treeLine ?? null },
      model?.heights ?? null,
      standing.map((obstacle) => standOnGrid(obstacle, locator)),
    ),
    clearingM: clearing,
  }
}

/** The site of a plan: the terrain of the options with what the plan says stands on it. */
export async function readSite(
  options: TerrainOptions & Pick<SurfaceOptions, 'surface'>,
  plan: Plan,
): Promise<Site> {
  const terrain = await readTerrain(options)
  const model = options.surface ? await readModel(terrain, options.surface) : null
  return siteOf(terrain, plan, model?.heights ?? null)
}
