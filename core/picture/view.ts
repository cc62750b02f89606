import { LatticeMapping } from '../geodesy/lattice'
import { GridLocator, type GridFrame } from '../terrain/grid'
import { worldPixelM, worldPixelToLatLon } from './webMercator'

/** A rectangle of picture pixels laid over a grid: each pixel centre maps to a grid position. */
export interface View {
  readonly width: number
  readonly height: number
  /** Ground length of a pixel, metres, and how many cells it spans. */
  readonly pixelM: number
  readonly cellsPerPixel: number
  /** Grid position of pixel (column, row), through its centre; one more row and column exist. */
  readonly mapping: LatticeMapping
  /** Offset of the first pixel in the pattern of stripes, so that tiles join. */
  readonly patternX: number
  readonly patternY: number
}

/** A tile of a web map: `size` pixels a side, for a tile that is 256 map pixels wide. */
export function tileView(
  frame: GridFrame,
  tile: { x: number; y: number; zoom: number },
  size: number,
): View {
  const locator = new GridLocator(frame)
  const scale = 256 / size
  const [left, top] = [tile.x * 256, tile.y * 256]
  const mapping = new LatticeMapping(size + 1, size + 1, (x, y) => {
    const { col, row } = locator.toGrid(
      worldPixelToLatLon(left + (x + 0.5) * scale, top + (y + 0.5) * scale, tile.zoom),
    )
    return [col, row]
  })
  const middle = worldPixelToLatLon(left + 128, top + 128, tile.zoom)
  const pixelM = worldPixelM(middle.latDeg, tile.zoom) * scale
  return {
    width: size,
    height: size,
    pixelM,
    cellsPerPixel: pixelM / frame.cellM,
    mapping,
    patternX: tile.x * size,
    patternY: tile.y * size,
  }
}

/** The whole grid as a picture of so many pixels a cell, north up in its own CRS. */
export function gridView(frame: GridFrame, pixelsPerCell: number): View {
  const width = Math.round(frame.cols * pixelsPerCell)
  const height = Math.round(frame.rows * pixelsPerCell)
  return {
    width,
    height,
    pixelM: frame.cellM / pixelsPerCell,
    cellsPerPixel: 1 / pixelsPerCell,
    mapping: new LatticeMapping(width + 1, height + 1, (x, y) => [
      ((x + 0.5) * frame.cols) / width - 0.5,
      ((y + 0.5) * frame.rows) / height - 0.5,
    ]),
    patternX: 0,
    patternY: 0,
  }
}

/** Index of the grid cell under every pixel of a view, -1 where there is none. */
export function cellsOfView(frame: GridFrame, view: View): Int32Array {
  const { width, height, mapping } = view
  const { cols, rows } = frame
  const cells = new Int32Array(width * height)
  const x = new Float64Array(width + 1)
  const y = new Float64Array(width + 1)
  for (let row = 0, i = 0; row < height; row++) {
    mapping.mapRow(row, x, y)
    for (let col = 0; col < width; col++, i++) {
      const cellCol = Math.floor(x[col] + 0.5)
      const cellRow = Math.floor(y[col] + 0.5)
      const inside = cellCol >= 0 && cellRow >= 0 && cellCol < cols && cellRow < rows
      cells[i] = inside ? cellRow * cols + cellCol : -1
    }
  }
  return cells
}
