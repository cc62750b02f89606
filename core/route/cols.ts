import type { GridFrame, GridPosition } from '../terrain/grid'
import { visitLine } from '../terrain/shapes'
import { bilinear, cellIndex } from '../terrain/grid'

/** A low pass between two summits. */
export interface Col {
  readonly cell: number
  readonly groundM: number
  /** How far the lower of the two summits rises above it, metres. */
  readonly depthM: number
}

/** The eight neighbours of a cell, as steps of column and row. */
const AROUND = [
  [-1, -1],
  [0, -1],
  [1, -1],
  [-1, 0],
  [1, 0],
  [-1, 1],
  [0, 1],
  [1, 1],
] as const

/**
 * Cols of a whole terrain: the cells at which, coming down from the summits, two hills grow
 * together of which the lower rises at least so far above. Missing ground is no ground.
 *
 * Cells are taken from the highest down and joined with the neighbours taken before; each hill
 * knows its summit.
 * @param leastDepthM of the cols wanted
 * @returns the deepest first
 */
export function findCols(
  heights: Float32Array,
  { cols, rows }: Pick<GridFrame, 'cols' | 'rows'>,
  leastDepthM: number,
): Col[] {
  const order = fromTheTop(heights)
  /** Hill of each cell taken so far, by the cell that stands for it; -1 before. */
  const hill = new Int32Array(heights.length).fill(-1)
  const summit = (cell: number) => heights[cell]
  const standing = (cell: number) => {
    while (hill[cell] !== cell) {
      hill[cell] = hill[hill[cell]]
      cell = hill[cell]
    }
    return cell
  }
  const found: Col[] = []
  for (const cell of order) {
    hill[cell] = cell
    let own = cell
    const [x, y] = [cell % cols, (cell / cols) | 0]
    for (const [dx, dy] of AROUND) {
      const [nx, ny] = [x + dx, y + dy]
      if (nx < 0 || ny < 0 || nx >= cols || ny >= rows) continue
      const neighbour = ny * cols + nx
      if (hill[neighbour] < 0) continue
      const other = standing(neighbour)
      if (other === own) continue
      // The cell that stands for a hill is its summit, so the lower one joins the higher.
      const [higher, lower] = summit(other) >= summit(own) ? [other, own] : [own, other]
      const depthM = summit(lower) - heights[cell]
      if (depthM >= leastDepthM) found.push({ cell, groundM: heights[cell], depthM })
      hill[lower] = higher
      own = higher
    }
  }
  return found.sort((a, b) => b.depthM - a.depthM)
}

/** Cells with data, the highest first. */
function fromTheTop(heights: Float32Array): Uint32Array {
  const keys = new Float64Array(heights.length)
  let count = 0
  let lowest = Infinity
  for (const height of heights) if (height < lowest) lowest = height
  // One number a cell, its height in centimetres first: typed arrays of numbers sort fastest.
  const span = 2 ** Math.ceil(Math.log2(heights.length + 1))
  for (let cell = 0; cell < heights.length; cell++) {
    if (Number.isNaN(heights[cell])) continue
    keys[count++] = Math.round((heights[cell] - lowest) * 100) * span + (span - 1 - cell)
  }
  const sorted = keys.subarray(0, count).sort()
  return Uint32Array.from({ length: count }, (_, i) => {
    const key = sorted[count - 1 - i]
    return span - 1 - (key % span)
  })
}

/**
 * Cols along a ridge line: its low points between two higher ones.
 * @param line drawn on the grid
 */
export function colsAlong(
  heights: Float32Array,
  frame: GridFrame,
  line: readonly GridPosition[],
  leastDepthM: number,
): Col[] {
  const places: GridPosition[] = []
  const ground: number[] = []
  visitLine(line, (place) => {
    const height = bilinear(heights, frame.cols, frame.rows, place.col, place.row)
    if (Number.isNaN(height) || cellIndex(frame, place) < 0) return
    places.push(place)
    ground.push(height)
  })
  // The profile is a terrain of one row.
  const profile = { cols: ground.length, rows: 1 }
  return findCols(Float32Array.from(ground), profile, leastDepthM).map(({ cell, ...col }) => ({
    ...col,
    cell: cellIndex(frame, places[cell]),
  }))
}
