import { Projection, type Crs } from '../geodesy/crs'
import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import type { Saying } from '../words/say'

/**
 * Where a grid lies: square cells, north up, metric CRS. Columns count eastward and rows
 * southward. A *grid position* is a pair (col, row) of real numbers in which whole numbers are
 * cell centres, so the first cell reaches from -0.5 to 0.5.
 */
export interface GridFrame {
  readonly cols: number
  readonly rows: number
  /** Edge of a cell in units of the CRS (metres on the map, not on the ground). */
  readonly cellM: number
  /** Easting of the outer edge of the first column. */
  readonly westM: number
  /** Northing of the outer edge of the first row. */
  readonly northM: number
  readonly crs: Crs
}

export interface GridPosition {
  readonly col: number
  readonly row: number
}

/** The terrain of a site: heights above sea level at cell centres, bilinear between them. */
export interface TerrainGrid extends GridFrame {
  /** Metres above sea level, row by row from the north; NaN where there is no data. */
  readonly heights: Float32Array
  /** What the terrain is called: the name of its file. */
  readonly name: string
  /** How the grid came about, for people. */
  readonly origin: Saying
  /** 1 for cells that were voids and are filled from around; null or left out where none is. */
  readonly filled?: Uint8Array | null
}

/** Conversion between positions on WGS 84 and on one grid. */
export class GridLocator {
  private readonly projection: Projection

  constructor(private readonly frame: GridFrame) {
    this.projection = new Projection(frame.crs)
  }

  toGrid({ latDeg, lonDeg }: LatLon): GridPosition {
    const [x, y] = this.projection.forward(lonDeg, latDeg)
    const { westM, northM, cellM } = this.frame
    return { col: (x - westM) / cellM - 0.5, row: (northM - y) / cellM - 0.5 }
  }

  toLatLon({ col, row }: GridPosition): LatLon {
    const { westM, northM, cellM } = this.frame
    return this.projection.inverse(westM + (col + 0.5) * cellM, northM - (row + 0.5) * cellM)
  }

  /**
   * True ground length of a cell edge near a position, metres: the map's cell divided by the
   * projection's point scale factor there (geometric mean of both axes where they differ).
   */
  groundCellM({ col, row }: GridPosition): number {
    const half = 500 / this.frame.cellM
    const along = (dCol: number, dRow: number) =>
      geodesic(
        this.toLatLon({ col: col - dCol, row: row - dRow }),
        this.toLatLon({ col: col + dCol, row: row + dRow }),
      ).distanceM
    return Math.sqrt(along(half, 0) * along(0, half)) / (2 * half)
  }

  /** Ground distance from a position inside to the nearest border of the grid, metres. */
  toBorderM({ col, row }: GridPosition): number {
    const { cols, rows } = this.frame
    const cells = Math.min(col, row, cols - 1 - col, rows - 1 - row) + 0.5
    return cells * this.groundCellM({ col, row })
  }

  /** Outline of the grid on WGS 84: `perSide` points a side, clockwise from the north-west. */
  outline(perSide = 16): LatLon[] {
    const { cols, rows } = this.frame
    const points: LatLon[] = []
    const corners = [
      [-0.5, -0.5],
      [cols - 0.5, -0.5],
      [cols - 0.5, rows - 0.5],
      [-0.5, rows - 0.5],
    ] as const
    corners.forEach(([col, row], side) => {
      const [nextCol, nextRow] = corners[(side + 1) % 4]
      for (let i = 0; i < perSide; i++) {
        const t = i / perSide
        points.push(
          this.toLatLon({ col: col + (nextCol - col) * t, row: row + (nextRow - row) * t }),
        )
      }
    })
    return points
  }
}

export function isInside(frame: GridFrame, { col, row }: GridPosition): boolean {
  return col >= -0.5 && row >= -0.5 && col <= frame.cols - 0.5 && row <= frame.rows - 0.5
}

/** Index of the cell that holds a position, or -1 outside the grid. */
export function cellIndex(frame: GridFrame, position: GridPosition): number {
  if (!isInside(frame, position)) return -1
  const col = Math.min(frame.cols - 1, Math.max(0, Math.round(position.col)))
  const row = Math.min(frame.rows - 1, Math.max(0, Math.round(position.row)))
  return row * frame.cols + col
}

/**
 * Ground height in metres above sea level at any position, bilinear between cell centres and
 * level over the outer half cell; NaN outside the grid or beside missing data.
 */
export function groundAt(terrain: TerrainGrid, position: GridPosition): number {
  return isInside(terrain, position)
    ? bilinear(terrain.heights, terrain.cols, terrain.rows, position.col, position.row)
    : NaN
}

/**
 * Bilinear value of a raster at (x, y), held at the outermost cell centres. A missing cell that has
 * no weight does not count.
 */
export function bilinear(
  values: Float32Array,
  cols: number,
  rows: number,
  x: number,
  y: number,
): number {
  // Most places lie between four cells that are there.
  if (x >= 0 && y >= 0 && x < cols - 1 && y < rows - 1) {
    const col = x | 0
    const row = y | 0
    const i = row * cols + col
    const top = values[i] + (values[i + 1] - values[i]) * (x - col)
    const bottom = values[i + cols] + (values[i + cols + 1] - values[i + cols]) * (x - col)
    const value = top + (bottom - top) * (y - row)
    if (!Number.isNaN(value)) return value
  }
  return carefulBilinear(values, cols, rows, x, y)
}

/** The same at the border and beside missing cells. */
function carefulBilinear(
  values: Float32Array,
  cols: number,
  rows: number,
  x: number,
  y: number,
): number {
  const cx = Math.min(cols - 1, Math.max(0, x))
  const cy = Math.min(rows - 1, Math.max(0, y))
  const col = Math.min(cols - 2, Math.floor(cx))
  const row = Math.min(rows - 2, Math.floor(cy))
  const i = row * cols + col
  const top = mix(values[i], values[i + 1], cx - col)
  const bottom = mix(values[i + cols], values[i + cols + 1], cx - col)
  return mix(top, bottom, cy - row)
}

function mix(a: number, b: number, t: number): number {
  if (t === 0) return a
  return t === 1 ? b : a + (b - a) * t
}
