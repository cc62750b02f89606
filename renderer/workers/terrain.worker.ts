import { expose } from 'comlink'
import { PilotError } from '../../core/errors'
import type { Crs, CrsLookup } from '../../core/geodesy/crs'
import { openGeoTiff, readTerrain, type TerrainSource } from '../../core/terrain/geotiff'
import type { TerrainGrid } from '../../core/terrain/grid'
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
    running.abort()
    running = new AbortController()
    const { signal } = running
    return errorsAsData(async () => {
      const lookUpCrs: CrsLookup = async (epsg) => {
        table ??= fetchTable(epsgUrl)
        const record = (await table)[epsg]
        return record && ({ epsg, name: record[0], definition: record[1] } satisfies Crs)
      }
      const tiff = await openGeoTiff(source)
      const terrain = await readTerrain(tiff, { name: source.name, lookUpCrs, signal, onProgress })
      return crossOriginIsolated ? { ...terrain, heights: shared(terrain.heights) } : terrain
    })
  },
  cancel(): void {
    running.abort()
  },
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

function shared(heights: Float32Array): Float32Array {
  const copy = new Float32Array(new SharedArrayBuffer(heights.byteLength))
  copy.set(heights)
  return copy
}

export type TerrainWorker = typeof api
expose(api)
