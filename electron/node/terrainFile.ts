import { stat } from 'node:fs/promises'
import { basename } from 'node:path'
import { PilotError } from '../../core/errors'
import { patiently } from '../../core/terrain/source'
import { TerrainFile, type Assumptions } from '../../core/terrain/terrainFile'
import { TerrainSet, type ReadOptions } from '../../core/terrain/terrainSet'
import type { TerrainGrid } from '../../core/terrain/grid'
import { lookUpCrs } from './epsg'
import { fileBytes } from './fileBytes'
import { readSidecars } from './sidecars'

/** Files opened at a time. */
const AT_ONCE = 8

/** Opens terrain files for reading by range. Throws a PilotError with a sentence. */
export async function openTerrainFiles(
  paths: readonly string[],
  assume?: Assumptions,
): Promise<TerrainSet> {
  const files: TerrainFile[] = []
  for (let from = 0; from < paths.length; from += AT_ONCE) {
    const some = paths.slice(from, from + AT_ONCE)
    files.push(...(await Promise.all(some.map((path) => openTerrainFile(path, assume)))))
  }
  return new TerrainSet(files)
}

/** Reads a terrain file from disk, by range. Throws a PilotError with a sentence. */
export async function readTerrainFile(
  path: string,
  options: Partial<ReadOptions> = {},
): Promise<TerrainGrid> {
  return (await openTerrainFiles([path])).read({ ...options, lookUpCrs })
}

async function openTerrainFile(path: string, assume?: Assumptions): Promise<TerrainFile> {
  const name = basename(path)
  const entry = await stat(path).catch(() => null)
  if (!entry?.isFile()) {
    throw new PilotError(`There is no file "${path}"; give the path of a DEM GeoTIFF.`)
  }
  const source = { name, beside: await readSidecars(path) }
  const bytes = patiently(name, fileBytes(path, entry.size))
  return TerrainFile.fromBytes(bytes, source, { lookUpCrs, assume })
}
