import { Projection, isGeographic, type Crs } from '../geodesy/crs'
import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'

/**
 * From cells to coordinates, for rasters of any direction and shape:
 * x = x0 + col * xCol + row * xRow, and y alike, where the first cell reaches from 0 to 1.
 */
export interface Affine {
  readonly x0: number
  readonly xCol: number
  readonly xRow: number
  readonly y0: number
  readonly yCol: number
  readonly yRow: number
}

/** A raster's place: how many cells, where they lie, and in which system. */
export interface Lattice {
  readonly cols: number
  readonly rows: number
  readonly affine: Affine
  readonly crs: Crs
}

/** Coordinates of a corner position (whole numbers are corners of cells). */
export function toXY({ x0, xCol, xRow, y0, yCol, yRow }: Affine, col: number, row: number) {
  return [x0 + col * xCol + row * xRow, y0 + col * yCol + row * yRow] as const
}

/** From coordinates back to corner positions. */
export function inverseOf({ x0, xCol, xRow, y0, yCol, yRow }: Affine) {
  const determinant = xCol * yRow - xRow * yCol
  return (x: number, y: number) => {
    const [dx, dy] = [x - x0, y - y0]
    return [(dx * yRow - dy * xRow) / determinant, (dy * xCol - dx * yCol) / determinant] as const
  }
}

/** True where rows run along the axes, south-up and mirrored ones too. */
export function isAligned({ xRow, yCol }: Affine): boolean {
  return xRow === 0 && yCol === 0
}

/** The same ground with cells `factor` times as wide. */
export function coarser(lattice: Lattice, factor: number): Lattice {
  const { x0, xCol, xRow, y0, yCol, yRow } = lattice.affine
  return {
    ...lattice,
    cols: Math.ceil(lattice.cols / factor),
    rows: Math.ceil(lattice.rows / factor),
    affine: {
      x0,
      y0,
      xCol: xCol * factor,
      xRow: xRow * factor,
      yCol: yCol * factor,
      yRow: yRow * factor,
    },
  }
}

/** Positions on WGS 84 of one lattice, both ways. Positions count corners. */
export class LatticeLocator {
  private readonly projection: Projection
  private readonly inverse: (x: number, y: number) => readonly [number, number]
  /** In degrees: the middle of the lattice, which longitudes are brought near to. */
  private readonly middleLon: number | null

  constructor(private readonly lattice: Lattice) {
    this.projection = new Projection(lattice.crs)
    this.inverse = inverseOf(lattice.affine)
    const middle = toXY(lattice.affine, lattice.cols / 2, lattice.rows / 2)
    this.middleLon = isGeographic(lattice.crs) ? middle[0] : null
  }

  toLatLon(col: number, row: number): LatLon {
    const [x, y] = toXY(this.lattice.affine, col, row)
    const { latDeg, lonDeg } = this.projection.inverse(x, y)
    return { latDeg, lonDeg }
  }

  fromLatLon({ latDeg, lonDeg }: LatLon): readonly [number, number] {
    const [x, y] = this.projection.forward(lonDeg, latDeg)
    if (this.middleLon === null) return this.inverse(x, y)
    return this.inverse(x - 360 * Math.round((x - this.middleLon) / 360), y)
  }

  /** Ground lengths of a cell's two edges near a position, metres. */
  cellEdgesM(col: number, row: number): readonly [number, number] {
    // Over a stretch of cells, so that cells of centimetres do not drown in rounding.
    const half = Math.min(50, this.lattice.cols / 2, this.lattice.rows / 2)
    const across = (dCol: number, dRow: number) =>
      geodesic(this.toLatLon(col - dCol, row - dRow), this.toLatLon(col + dCol, row + dRow))
        .distanceM /
      (2 * half)
    return [across(half, 0), across(0, half)]
  }
}

/** Positions along the outline of a lattice and over its inside. */
export function spread({ cols, rows }: Lattice, perSide = 16): [number, number][] {
  const points: [number, number][] = []
  for (let i = 0; i <= perSide; i++) {
    for (let j = 0; j <= perSide; j++) points.push([(i / perSide) * cols, (j / perSide) * rows])
  }
  return points
}
