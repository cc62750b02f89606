import { stat } from 'node:fs/promises'
import { basename } from 'node:path'
import { fromFile } from 'geotiff'
import { PilotError } from '../../core/errors'
import { asGeoTiff, readTerrain } from '../../core/terrain/geotiff'
import type { TerrainGrid } from '../../core/terrain/grid'
import { lookUpCrs } from './epsg'

/** Reads a terrain file from disk, by range. Throws a PilotError with a sentence. */
export async function readTerrainFile(path: string): Promise<TerrainGrid> {
  const name = basename(path)
  const isFile = await stat(path).then(
    (entry) => entry.isFile(),
    () => false,
  )
  if (!isFile) {
    throw new PilotError(`There is no file "${path}"; give the path of a DEM GeoTIFF.`)
  }
  return readTerrain(await asGeoTiff(name, fromFile(path)), { name, lookUpCrs })
}
