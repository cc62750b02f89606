import L from 'leaflet'
import { paintShading } from '../../core/picture/shading'
import { cellsOfView, tileView } from '../../core/picture/view'
import type { GridFrame } from '../../core/terrain/grid'
import type { Coverage } from '../state/coverage'

interface Tile {
  readonly coords: L.Coords
  readonly context: CanvasRenderingContext2D
  readonly image: ImageData
  readonly words: Uint32Array
  /**
   * Cell under every pixel, for each grid that was shown on this tile, so that a repaint is a
   * look-up and a comparison.
   */
  readonly cells: WeakMap<GridFrame, Int32Array>
}

/** Pixels a side; the layer keeps to map pixels whatever the screen. */
const TILE_SIZE = 256

/**
 * The coverage classes over the terrain: every pixel is projected back into the grid and takes
 * the class of the cell it lies in. A new flying height or field repaints at once.
 */
export class ShadingLayer extends L.GridLayer {
  private readonly tiles = new Map<string, Tile>()
  private coverage: Coverage | null = null
  private flyingHeightM = 0

  constructor(options?: L.GridLayerOptions) {
    super({ ...options, tileSize: TILE_SIZE })
    this.on('tileunload', (event: L.TileEvent) => {
      this.tiles.delete(keyOf(event.coords))
    })
  }

  show(coverage: Coverage | null, flyingHeightM: number): void {
    this.coverage = coverage
    this.flyingHeightM = flyingHeightM
    for (const tile of this.tiles.values()) this.paint(tile)
  }

  override createTile(coords: L.Coords): HTMLElement {
    const canvas = L.DomUtil.create('canvas')
    canvas.width = TILE_SIZE
    canvas.height = TILE_SIZE
    const context = canvas.getContext('2d')
    if (!context) return canvas
    const image = context.createImageData(TILE_SIZE, TILE_SIZE)
    const words = new Uint32Array(image.data.buffer)
    const tile: Tile = { coords, context, image, words, cells: new WeakMap() }
    this.tiles.set(keyOf(coords), tile)
    this.paint(tile)
    return canvas
  }

  private paint(tile: Tile): void {
    const { coords, context, image, words } = tile
    if (this.coverage) {
      const view = {
        width: TILE_SIZE,
        height: TILE_SIZE,
        patternX: coords.x * TILE_SIZE,
        patternY: coords.y * TILE_SIZE,
      }
      const cells = cellsUnder(tile, this.coverage.frame)
      paintShading(words, cells, view, this.coverage, this.flyingHeightM)
    } else {
      words.fill(0)
    }
    context.putImageData(image, 0, 0)
  }
}

function cellsUnder({ coords, cells }: Tile, frame: GridFrame): Int32Array {
  let found = cells.get(frame)
  if (!found) {
    const { x, y, z: zoom } = coords
    found = cellsOfView(frame, tileView(frame, { x, y, zoom }, TILE_SIZE))
    cells.set(frame, found)
  }
  return found
}

function keyOf({ x, y, z }: L.Coords): string {
  return `${z}/${x}/${y}`
}
