import type { TerrainGrid } from './grid'

/** The same ground with cells `factor` times as wide: the mean of the heights there are. */
export function coarsen(terrain: TerrainGrid, factor: number): TerrainGrid {
  const cols = Math.floor(terrain.cols / factor)
  const rows = Math.floor(terrain.rows / factor)
  const heights = new Float32Array(cols * rows)
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      let [sum, count] = [0, 0]
      for (let dRow = 0; dRow < factor; dRow++) {
        const start = (row * factor + dRow) * terrain.cols + col * factor
        for (let at = start; at < start + factor; at++) {
          const height = terrain.heights[at]
          if (Number.isNaN(height)) continue
          sum += height
          count++
        }
      }
      heights[i] = count > 0 ? sum / count : NaN
    }
  }
  return { ...terrain, cols, rows, cellM: terrain.cellM * factor, heights }
}
