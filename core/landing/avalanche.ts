/**
 * Slopes on which slab avalanches start, degrees. Common practice, no source: most between 30 and
 * 45.
 */
export const AVALANCHE_DEG = [30, 45] as const
/**
 * An avalanche runs as far as its track seen from below keeps this angle to where it started.
 * Common practice, no source: some 20 degrees for large ones.
 */
const RUN_OUT_GRADIENT = Math.tan((20 * Math.PI) / 180)
/** Slopes farther up than this are not looked at, metres. */
const REACH_M = 500

/** Cells of a way that lie on possible avalanche slopes or under them. */
export function avalancheCells(
  way: readonly number[],
  heights: Float32Array,
  slopeDeg: Float32Array,
  cols: number,
  rows: number,
  cellM: number,
): number[] {
  const reach = Math.floor(REACH_M / cellM)
  const starts = (cell: number) =>
    slopeDeg[cell] >= AVALANCHE_DEG[0] && slopeDeg[cell] <= AVALANCHE_DEG[1]
  return way.filter((cell) => {
    if (starts(cell)) return true
    const [x, y] = [cell % cols, Math.floor(cell / cols)]
    for (let dy = -reach; dy <= reach; dy++) {
      for (let dx = -reach; dx <= reach; dx++) {
        const [nx, ny] = [x + dx, y + dy]
        if (nx < 0 || ny < 0 || nx >= cols || ny >= rows) continue
        const squared = dx * dx + dy * dy
        if (squared === 0 || squared > reach * reach) continue
        const up = ny * cols + nx
        const rise = heights[up] - heights[cell]
        if (rise > RUN_OUT_GRADIENT * Math.sqrt(squared) * cellM && starts(up)) return true
      }
    }
    return false
  })
}
