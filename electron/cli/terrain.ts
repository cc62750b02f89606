import { Option, type Command } from 'commander'
import { surfaceModelOn, type SurfaceModel } from '../../core/surface/model'
import type { TerrainGrid } from '../../core/terrain/grid'
import type { SiteWindow } from '../../core/terrain/siteFrame'
import type { Assumptions } from '../../core/terrain/terrainFile'
import { lookUpCrs } from '../node/epsg'
import { openTerrainFiles } from '../node/terrainFile'
import { number, positive, siteWindow, wholeNumber } from './values'

/** The terrain as the command line takes it. */
export interface TerrainOptions {
  /** Paths; several make one ground. */
  readonly terrain: readonly string[]
  readonly window?: SiteWindow
  /** Working cell, metres. */
  readonly cell?: number
  /** EPSG code of files that do not name their system. */
  readonly epsg?: number
  readonly heightsIn?: string
  readonly missing?: readonly number[]
  /** Voids of up to so many cells are filled. */
  readonly fillVoids?: number
}

const UNITS_M: Readonly<Record<string, number>> = { m: 1, ft: 0.3048, 'us-ft': 1200 / 3937 }

/** Adds the options that say which terrain and how to take it. */
export function withTerrain(command: Command): Command {
  const placed = command
    .requiredOption('--terrain <files...>', 'DEM GeoTIFF; several files make one ground')
    .option(
      '--window <lat,lon,km>',
      'only a square of so many kilometres around a place',
      siteWindow,
    )
    .option('--cell <m>', 'working cell, metres (default: the finest there is)', positive)
    .option('--fill-voids <cells>', 'fill voids of up to so many cells', positive)
  return withAssumptions(placed)
}

/** Adds the options that say of files what they do not say themselves. */
export function withAssumptions(command: Command): Command {
  return command
    .option('--epsg <code>', 'coordinate system of files that do not name it', wholeNumber)
    .addOption(
      new Option('--heights-in <unit>', 'unit of heights, where a file does not state it').choices(
        Object.keys(UNITS_M),
      ),
    )
    .option(
      '--missing <value>',
      'a value that stands for no data (may be repeated)',
      (text, before: number[] = []) => [...before, number(text)],
    )
}

/** What the options say of files that do not say it themselves. */
export function assumptions({
  epsg,
  heightsIn,
  missing,
}: Pick<TerrainOptions, 'epsg' | 'heightsIn' | 'missing'>): Assumptions {
  return { epsg, missing, heightUnitM: heightsIn === undefined ? undefined : UNITS_M[heightsIn] }
}

export async function readTerrain(options: TerrainOptions): Promise<TerrainGrid> {
  const set = await openTerrainFiles(options.terrain, assumptions(options))
  const { window, cell, fillVoids } = options
  return set.read({ window, cellM: cell, fillUpToCells: fillVoids, lookUpCrs })
}

/** A surface model laid over the terrain. */
export async function readModel(terrain: TerrainGrid, path: string): Promise<SurfaceModel> {
  return surfaceModelOn(terrain, await openTerrainFiles([path]))
}
