/** An exact but slow mapping of one plane to another. */
export type PlaneMapping = (x: number, y: number) => readonly [number, number]

/**
 * A mapping between two rasters, computed exactly on a lattice of knots and bilinear between
 * them. Map projections are so smooth that 16 pixels between knots leave errors far below a
 * hundredth of a pixel, at a hundredth of the price.
 */
export class LatticeMapping {
  private readonly knotCols: number
  private readonly knotX: Float64Array
  private readonly knotY: Float64Array

  /**
   * @param width columns of the raster that will ask, which counts pixels at 0 .. width - 1
   * @param height its rows
   * @param exact what a pixel of that raster maps to
   */
  constructor(
    private readonly width: number,
    height: number,
    exact: PlaneMapping,
    private readonly stepPixels = 16,
  ) {
    this.knotCols = Math.ceil(width / stepPixels) + 1
    const knotRows = Math.ceil(height / stepPixels) + 1
    this.knotX = new Float64Array(this.knotCols * knotRows)
    this.knotY = new Float64Array(this.knotCols * knotRows)
    for (let row = 0, i = 0; row < knotRows; row++) {
      for (let col = 0; col < this.knotCols; col++, i++) {
        const [x, y] = exact(col * stepPixels, row * stepPixels)
        this.knotX[i] = x
        this.knotY[i] = y
      }
    }
  }

  /** Fills outX and outY (length: width) with where the pixels of one row map to. */
  mapRow(row: number, outX: Float64Array, outY: Float64Array): void {
    const step = this.stepPixels
    const knotRow = Math.floor(row / step)
    const fy = row / step - knotRow
    const top = knotRow * this.knotCols
    const bottom = fy === 0 ? top : top + this.knotCols
    const { knotX, knotY } = this
    for (let knot = 0, col = 0; col < this.width; knot++) {
      const x0 = knotX[top + knot] * (1 - fy) + knotX[bottom + knot] * fy
      const y0 = knotY[top + knot] * (1 - fy) + knotY[bottom + knot] * fy
      const x1 = knotX[top + knot + 1] * (1 - fy) + knotX[bottom + knot + 1] * fy
      const y1 = knotY[top + knot + 1] * (1 - fy) + knotY[bottom + knot + 1] * fy
      const dx = (x1 - x0) / step
      const dy = (y1 - y0) / step
      const end = Math.min(this.width, col + step)
      for (let i = 0; col < end; col++, i++) {
        outX[col] = x0 + dx * i
        outY[col] = y0 + dy * i
      }
    }
  }
}
