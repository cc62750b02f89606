import { expose } from 'comlink'
import { PilotError } from '../../core/errors'
import type { Crs, CrsLookup } from '../../core/geodesy/crs'
import { surfaceModelOn, type SurfaceModel } from '../../core/surface/model'
import { standOnGrid, type Obstacle } from '../../core/surface/obstacle'
import { buildSurface, type Surface, type Vegetation } from '../../core/surface/surface'
import { openGeoTiff, readTerrain, type TerrainSource } from '../../core/terrain/geotiff'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { inSharedMemory } from './sharedMemory'
import { errorsAsData, type Outcome } from './outcome'

let running = new AbortController()
type EpsgTable = Record<string, [name: string, definition: string]>
let table: Promise<EpsgTable> | undefined

const api = {
  /**
   * Reads a terrain; a reading under way is cancelled. Where the page is isolated the heights
   * come in shared memory, so that no worker needs a copy of its own.
   */
  read(
    source: TerrainSource,
    epsgUrl: string,
    onProgress: (share: number) => void,
  ): Promise<Outcome<TerrainGrid>> {
    return errorsAsData(async () => {
      const terrain = await readFile(source, epsgUrl, onProgress)
      return { ...terrain, heights: inSharedMemory(terrain.heights) }
    })
  },

  /** Reads a second terrain as the surface model of the first. */
  readModel(
    source: TerrainSource,
    epsgUrl: string,
    terrain: TerrainGrid,
    onProgress: (share: number) => void,
  ): Promise<Outcome<SurfaceModel>> {
    return errorsAsData(async () => {
      const model = surfaceModelOn(terrain, await readFile(source, epsgUrl, onProgress))
      return { ...model, heights: inSharedMemory(model.heights) }
    })
  },

  /** Puts together what stands on a terrain. */
  buildSurface(
    terrain: TerrainGrid,
    vegetation: Vegetation,
    model: Float32Array | null,
    obstacles: readonly Obstacle[],
  ): Surface {
    const locator = new GridLocator(terrain)
    const standing = obstacles.map((obstacle) => standOnGrid(obstacle, locator))
    const { bare, covered } = buildSurface(terrain, vegetation, model, standing)
    const sharedBare = inSharedMemory(bare)
    return { bare: sharedBare, covered: covered === bare ? sharedBare : inSharedMemory(covered) }
  },
  cancel(): void {
    running.abort()
  },
}

/** Reads a terrain file; another reading under way is cancelled. */
async function readFile(
  source: TerrainSource,
  epsgUrl: string,
  onProgress: (share: number) => void,
): Promise<TerrainGrid> {
  running.abort()
  running = new AbortController()
  const { signal } = running
  const lookUpCrs: CrsLookup = async (epsg) => {
    table ??= fetchTable(epsgUrl)
    const record = (await table)[epsg]
    return record && ({ epsg, name: record[0], definition: record[1] } satisfies Crs)
  }
  const tiff = await openGeoTiff(source)
  return readTerrain(tiff, { name: source.name, lookUpCrs, signal, onProgress })
}

/** The table of coordinate systems; one that did not come is asked for again next time. */
async function fetchTable(url: string): Promise<EpsgTable> {
  try {
    const answer = await fetch(url)
    if (!answer.ok) throw new Error(`answered ${answer.status}`)
    return (await answer.json()) as EpsgTable
  } catch (cause) {
    table = undefined
    throw new PilotError(
      'The table of coordinate systems could not be loaded; check that Colsight is still running and open the file again.',
      { cause },
    )
  }
}

export type TerrainWorker = typeof api
expose(api)
