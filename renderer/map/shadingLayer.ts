import L from 'leaflet'
import type { HeightScale } from '../../core/picture/heightScale'
import { paintMargins, type MarginStyle } from '../../core/picture/marginShading'
import { paintHeights, paintShading } from '../../core/picture/shading'
import { paintShares } from '../../core/picture/shareScale'
import { cellsOfView, tileView } from '../../core/picture/view'
import type { LinkOverSite } from '../../core/radio/margin'
import type { GridFrame } from '../../core/terrain/grid'
import type { Coverage } from '../state/coverage'

/** What the layer shows of a coverage: the answers at a height, or one of the fields. */
export type Shading =
  | { readonly kind: 'answers'; readonly flyingHeightM: number; readonly errorM: number }
  | {
      readonly kind: 'signal'
      readonly frame: GridFrame
      readonly links: readonly LinkOverSite[]
      readonly style: MarginStyle
    }
  | {
      readonly kind: 'heat'
      readonly frame: GridFrame
      readonly shares: Float32Array
      readonly most: number
    }
  | { readonly kind: 'field'; readonly heightsM: Float32Array; readonly scale: HeightScale }

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
  /** Told once the tile can be looked at; null from then on. */
  whenReady: L.DoneCallback | null
}

/** The window gets a turn after so much of painting, milliseconds. */
const TURN_MS = 20
/** After so much where changes come faster than all tiles are painted. */
const HURRIED_TURN_MS = 80
/** Pixels a side; the layer keeps to map pixels whatever the screen. */
const TILE_SIZE = 256

/**
 * The coverage over the terrain: every pixel is projected back into the grid and shows the cell
 * it lies in. A new flying height or field repaints at once; where that takes longer than a turn the
 * window goes on meanwhile, and all tiles change together at the end. Where changes come faster than
 * that, those that a longer turn was enough for are shown as they are.
 */
export class ShadingLayer extends L.GridLayer {
  private readonly tiles = new Map<string, Tile>()
  private coverage: Coverage | null = null
  private shading: Shading | null = null
  /** Tiles that do not hold yet what is to be shown, and those that do but do not show it yet. */
  private unpainted: Tile[] = []
  private painted: Tile[] = []
  private nextTurn: ReturnType<typeof setTimeout> | undefined

  constructor(options?: L.GridLayerOptions) {
    super({ ...options, tileSize: TILE_SIZE })
    this.on('tileunload', (event: L.TileEvent) => {
      const gone = this.tiles.get(keyOf(event.coords))
      this.tiles.delete(keyOf(event.coords))
      this.unpainted = this.unpainted.filter((tile) => tile !== gone)
    })
  }

  show(coverage: Coverage | null, shading: Shading | null): void {
    const isHurried = this.unpainted.length > 0
    this.coverage = coverage
    this.shading = shading
    // Those that wait already are painted first, the last in the list, so that each has its turn.
    const waiting = new Set(this.unpainted)
    const others = [...this.tiles.values()].filter((tile) => !waiting.has(tile))
    this.unpainted = [...others, ...waiting]
    this.painted = []
    this.paintFor(isHurried ? HURRIED_TURN_MS : TURN_MS)
    // Not all of them may ever be painted before the next change.
    if (isHurried) this.showPainted()
  }

  override createTile(coords: L.Coords, whenReady: L.DoneCallback): HTMLElement {
    const canvas = L.DomUtil.create('canvas')
    canvas.width = TILE_SIZE
    canvas.height = TILE_SIZE
    const context = canvas.getContext('2d')
    if (!context) return canvas
    const image = context.createImageData(TILE_SIZE, TILE_SIZE)
    const words = new Uint32Array(image.data.buffer)
    const tile: Tile = { coords, context, image, words, cells: new WeakMap(), whenReady }
    this.tiles.set(keyOf(coords), tile)
    this.unpainted.push(tile)
    this.paintLater()
    return canvas
  }

  private paintLater(): void {
    clearTimeout(this.nextTurn)
    this.nextTurn = setTimeout(() => this.paintFor(TURN_MS))
  }

  /** Paints tiles for so long, and shows them all once none is left. */
  private paintFor(turnMs: number): void {
    const end = performance.now() + turnMs
    for (let tile = this.unpainted.pop(); tile; tile = this.unpainted.pop()) {
      this.paint(tile)
      this.painted.push(tile)
      if (this.unpainted.length > 0 && performance.now() >= end) return this.paintLater()
    }
    this.showPainted()
  }

  private showPainted(): void {
    for (const tile of this.painted) {
      tile.context.putImageData(tile.image, 0, 0)
      tile.whenReady?.(undefined, tile.context.canvas)
      tile.whenReady = null
    }
    this.painted = []
  }

  private paint(tile: Tile): void {
    const { coords, words } = tile
    const { coverage, shading } = this
    if (!coverage || !shading) {
      words.fill(0)
    } else if (shading.kind === 'heat') {
      paintShares(words, cellsUnder(tile, shading.frame), shading.shares, shading.most)
    } else if (shading.kind === 'signal') {
      const cells = cellsUnder(tile, shading.frame)
      paintMargins(words, cells, viewOf(coords), shading.links, shading.style)
    } else if (shading.kind === 'field') {
      paintHeights(words, cellsUnder(tile, coverage.frame), shading.heightsM, shading.scale)
    } else {
      const cells = cellsUnder(tile, coverage.frame)
      paintShading(words, cells, viewOf(coords), coverage, shading.flyingHeightM, shading.errorM)
    }
  }
}

function viewOf({ x, y }: L.Coords) {
  const size = { width: TILE_SIZE, height: TILE_SIZE }
  return { ...size, patternX: x * TILE_SIZE, patternY: y * TILE_SIZE }
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
