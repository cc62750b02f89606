/**
 * Slopes on which slab avalanches start. Common practice, no source: most between 30 and 45
 * degrees; steeper ground above sheds snow as well.
 */
export const AVALANCHE_DEG = 30
/**
 * An avalanche runs as far as its track seen from below keeps this angle to where it started.
 * Common practice, no source: some 20 degrees for large ones.
 */
const RUN_OUT_GRADIENT = Math.tan((20 * Math.PI) / 180)
/** Steps along the eight neighbours make a way up to so many times as long as it is. */
const DETOUR = 1.0824

/**
 * Ground on which a large avalanche could start, or that one could run out to from above,
 * whatever lies between: 1 for such cells. A cone is hung from every start, as steep as the run-out
 * angle; what lies under one is in its reach. The cones are taken a little too wide rather than
 * too narrow.
 */
export function avalancheGround(
  heights: Float32Array,
  slopeDeg: Float32Array,
  cols: number,
  rows: number,
  cellM: number,
): Uint8Array {
  const cones = new Float32Array(heights.length)
  for (let i = 0; i < heights.length; i++) {
    cones[i] = slopeDeg[i] >= AVALANCHE_DEG ? heights[i] : -Infinity
  }
  const side = (RUN_OUT_GRADIENT * cellM) / DETOUR
  const corner = side * Math.SQRT2
  const take = (i: number, col: number, row: number, dx: number, dy: number, drop: number) => {
    const [x, y] = [col + dx, row + dy]
    if (x < 0 || y < 0 || x >= cols || y >= rows) return
    const from = cones[y * cols + x] - drop
    if (from > cones[i]) cones[i] = from
  }
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      take(i, col, row, -1, 0, side)
      take(i, col, row, 0, -1, side)
      take(i, col, row, -1, -1, corner)
      take(i, col, row, 1, -1, corner)
    }
  }
  for (let row = rows - 1, i = heights.length - 1; row >= 0; row--) {
    for (let col = cols - 1; col >= 0; col--, i--) {
      take(i, col, row, 1, 0, side)
      take(i, col, row, 0, 1, side)
      take(i, col, row, 1, 1, corner)
      take(i, col, row, -1, 1, corner)
    }
  }
  return Uint8Array.from(heights, (height, i) => (cones[i] >= height ? 1 : 0))
}
