/** Heights that differ by less are the same, metres. */
const LEVEL_M = 0.005
/** Level patches smaller than this are chance; heights in whole metres make more of them. */
const SMALLEST_M2 = 5000
const SMALLEST_M2_WHOLE_METRES = 54_000
/** And so many cells at the least, however large. */
const FEWEST_CELLS = 6
const FEWEST_CELLS_WHOLE_METRES = 30

/**
 * Ground that is perfectly level over many cells: most likely water or ice, or made so by those
 * who made the model. 1 for such cells.
 */
export function levelGround(heights: Float32Array, cols: number, cellM: number): Uint8Array {
  const level = new Uint8Array(heights.length)
  const seen = new Uint8Array(heights.length)
  const isWhole = areWholeMetres(heights)
  const fewest = Math.max(
    isWhole ? FEWEST_CELLS_WHOLE_METRES : FEWEST_CELLS,
    (isWhole ? SMALLEST_M2_WHOLE_METRES : SMALLEST_M2) / (cellM * cellM),
  )
  const queue = new Uint32Array(heights.length)
  for (let start = 0; start < heights.length; start++) {
    if (seen[start] || Number.isNaN(heights[start])) continue
    const height = heights[start]
    let [head, tail] = [0, 1]
    queue[0] = start
    seen[start] = 1
    while (head < tail) {
      const cell = queue[head++]
      const col = cell % cols
      for (let side = 0; side < 4; side++) {
        if (side === 0 && col === 0) continue
        if (side === 1 && col === cols - 1) continue
        const next = cell + (side === 0 ? -1 : side === 1 ? 1 : side === 2 ? -cols : cols)
        if (next < 0 || next >= heights.length || seen[next]) continue
        if (!(Math.abs(heights[next] - height) < LEVEL_M)) continue
        seen[next] = 1
        queue[tail++] = next
      }
    }
    if (tail >= fewest) for (let k = 0; k < tail; k++) level[queue[k]] = 1
  }
  return level
}

/** True where every height looked at is a whole number: then level ground is often chance. */
function areWholeMetres(heights: Float32Array): boolean {
  const stride = Math.max(1, Math.floor(heights.length / 5000))
  for (let i = 0; i < heights.length; i += stride) {
    if (!Number.isNaN(heights[i]) && heights[i] !== Math.round(heights[i])) return false
  }
  return true
}
