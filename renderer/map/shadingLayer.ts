import L from 'leaflet'
import { paintShading } from '../../core/picture/shading'
import { cellsOfView, tileView } from '../../core/picture/view'
import type { GridFrame } from '../../core/terrain/grid'
import type { Coverage } from '../workers/coverage.worker'

interface Tile {
  readonly context: CanvasRenderingContext2D
  /** Grid cell under every pixel, so that a repaint is a look-up and a comparison. */
  readonly cells: Int32Array
  readonly image: ImageData
  readonly words: Uint32Array
  readonly patternX: number
  readonly patternY: number
}

/** Pixels a side; the layer keeps to map pixels whatever the screen. */
const TILE_SIZE = 256

/**
 * The coverage classes over the terrain: every pixel is projected back into the grid and takes
 * the class of the cell it lies in. A new flying height or field repaints at once.
 */
export class ShadingLayer extends L.GridLayer {
  private readonly tiles = new Map<string, Tile>()
  private frame: GridFrame | null = null
  private fields: Pick<Coverage, 'sightM' | 'fresnelM'> | null = null
  private flyingHeightM = 0

  constructor(options?: L.GridLayerOptions) {
    super({ ...options, tileSize: TILE_SIZE })
    this.on('tileunload', (event: L.TileEvent) => {
      this.tiles.delete(keyOf(event.coords))
    })
  }

  /** Takes a new terrain: nothing is shown until there is a field for it. */
  setFrame(frame: GridFrame | null): void {
    this.frame = frame
    this.fields = null
    this.tiles.clear()
    this.redraw()
  }

  show(fields: Pick<Coverage, 'sightM' | 'fresnelM'> | null, flyingHeightM: number): void {
    this.fields = fields
    this.flyingHeightM = flyingHeightM
    for (const tile of this.tiles.values()) this.paint(tile)
  }

  override createTile(coords: L.Coords): HTMLElement {
    const canvas = L.DomUtil.create('canvas')
    canvas.width = TILE_SIZE
    canvas.height = TILE_SIZE
    const context = canvas.getContext('2d')
    if (!context || !this.frame) return canvas
    const view = tileView(this.frame, { x: coords.x, y: coords.y, zoom: coords.z }, TILE_SIZE)
    const image = context.createImageData(TILE_SIZE, TILE_SIZE)
    const tile: Tile = {
      context,
      cells: cellsOfView(this.frame, view),
      image,
      words: new Uint32Array(image.data.buffer),
      patternX: view.patternX,
      patternY: view.patternY,
    }
    this.tiles.set(keyOf(coords), tile)
    this.paint(tile)
    return canvas
  }

  private paint({ context, cells, image, words, patternX, patternY }: Tile): void {
    if (this.fields) {
      const view = { width: TILE_SIZE, height: TILE_SIZE, patternX, patternY }
      paintShading(words, cells, view, this.fields, this.flyingHeightM)
    } else {
      words.fill(0)
    }
    context.putImageData(image, 0, 0)
  }
}

function keyOf({ x, y, z }: L.Coords): string {
  return `${z}/${x}/${y}`
}
