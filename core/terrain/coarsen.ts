import type { GridFrame, TerrainGrid } from './grid'

/** The same ground with cells `factor` times as wide: the mean of the heights there are. */
export function coarsen(terrain: TerrainGrid, factor: number): TerrainGrid {
  return {
    ...terrain,
    ...coarsenFrame(terrain, factor),
    heights: means(terrain.heights, terrain, factor),
  }
}

/** A frame of cells `factor` times as wide; a rest that fills no whole cell is left out. */
export function coarsenFrame(frame: GridFrame, factor: number): GridFrame {
  return {
    ...frame,
    cols: Math.floor(frame.cols / factor),
    rows: Math.floor(frame.rows / factor),
    cellM: frame.cellM * factor,
  }
}

/** The mean of every block of cells over the values there are; NaN where there are none. */
export function means(values: Float32Array, frame: GridFrame, factor: number): Float32Array {
  const { cols, rows } = coarsenFrame(frame, factor)
  const coarse = new Float32Array(cols * rows)
  for (let row = 0, i = 0; row < rows; row++) {
    for (let col = 0; col < cols; col++, i++) {
      let [sum, count] = [0, 0]
      for (let dRow = 0; dRow < factor; dRow++) {
        const start = (row * factor + dRow) * frame.cols + col * factor
        for (let at = start; at < start + factor; at++) {
          const value = values[at]
          if (Number.isNaN(value)) continue
          sum += value
          count++
        }
      }
      coarse[i] = count > 0 ? sum / count : NaN
    }
  }
  return coarse
}
