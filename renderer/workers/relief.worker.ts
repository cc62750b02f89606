import { expose, transfer } from 'comlink'
import { Relief } from '../../core/picture/relief'
import { tileView } from '../../core/picture/view'
import type { TerrainGrid } from '../../core/terrain/grid'

let terrain: TerrainGrid | undefined
let relief: Relief | undefined

const api = {
  setTerrain(next: TerrainGrid): void {
    terrain = next
    relief = new Relief(next)
  },
  /** A tile of the built-in base map as RGBA bytes. */
  paint(
    tile: { x: number; y: number; zoom: number },
    size: number,
    metresPerUnit: number,
  ): Uint8ClampedArray {
    const pixels = new Uint8ClampedArray(size * size * 4)
    if (terrain && relief) relief.paint(tileView(terrain, tile, size), pixels, metresPerUnit)
    return transfer(pixels, [pixels.buffer])
  },
}

export type ReliefWorker = typeof api
expose(api)
