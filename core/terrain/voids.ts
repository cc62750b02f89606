/** Sweeps over a void until its surface lies still; small voids need far fewer. */
const SWEEPS = 400
/** Nothing moves any more, metres. */
const STILL_M = 0.01

/**
 * Fills voids of up to so many cells that lie within the ground, each with the smoothest surface
 * between the heights around it (every cell the mean of its neighbours). Voids at the border stay.
 * @param heights changed in place
 * @returns 1 for every cell filled; null where there was nothing to fill
 */
export function fillVoids(
  heights: Float32Array,
  cols: number,
  rows: number,
  maxCells: number,
): Uint8Array | null {
  const seen = new Uint8Array(heights.length)
  let filled: Uint8Array | null = null
  for (let start = 0; start < heights.length; start++) {
    if (seen[start] || !Number.isNaN(heights[start])) continue
    const cells = voidAround(heights, cols, rows, start, seen, maxCells)
    if (!cells) continue
    filled ??= new Uint8Array(heights.length)
    for (const cell of cells) filled[cell] = 1
    smooth(heights, cols, cells)
  }
  return filled
}

/** The cells of a void; null for one that is too large or reaches the border. */
function voidAround(
  heights: Float32Array,
  cols: number,
  rows: number,
  start: number,
  seen: Uint8Array,
  maxCells: number,
): number[] | null {
  const cells: number[] = []
  const open = [start]
  let isInside = true
  seen[start] = 1
  while (open.length > 0) {
    const cell = open.pop()!
    if (cells.length <= maxCells) cells.push(cell)
    const [col, row] = [cell % cols, Math.floor(cell / cols)]
    if (col === 0 || row === 0 || col === cols - 1 || row === rows - 1) isInside = false
    for (let dRow = -1; dRow <= 1; dRow++) {
      for (let dCol = -1; dCol <= 1; dCol++) {
        if (col + dCol < 0 || col + dCol >= cols || row + dRow < 0 || row + dRow >= rows) continue
        const next = cell + dRow * cols + dCol
        if (seen[next] || !Number.isNaN(heights[next])) continue
        seen[next] = 1
        open.push(next)
      }
    }
  }
  return isInside && cells.length <= maxCells ? cells : null
}

/** Over-relaxed Gauss-Seidel sweeps, from the mean of the rim. */
function smooth(heights: Float32Array, cols: number, cells: readonly number[]): void {
  const around = (cell: number) => [cell - 1, cell + 1, cell - cols, cell + cols]
  const rim = cells.flatMap(around).map((cell) => heights[cell])
  const known = rim.filter((height) => !Number.isNaN(height))
  const mean = known.reduce((sum, height) => sum + height, 0) / known.length
  for (const cell of cells) heights[cell] = mean
  for (let sweep = 0; sweep < SWEEPS; sweep++) {
    let moved = 0
    for (const cell of cells) {
      const wanted =
        (heights[cell - 1] + heights[cell + 1] + heights[cell - cols] + heights[cell + cols]) / 4
      const change = 1.5 * (wanted - heights[cell])
      heights[cell] += change
      moved = Math.max(moved, Math.abs(change))
    }
    if (moved < STILL_M) break
  }
}
