import type { TerrainGrid } from './grid'

/** What the heights of a grid come to. */
export interface TerrainSummary {
  readonly lowestM: number
  readonly highestM: number
  /** Share of the cells without a height, 0 to 1. */
  readonly missingShare: number
  /** Cells that were voids and are filled. */
  readonly filledCells: number
  /** The cell with a height nearest to the middle of the grid. */
  readonly middle: { readonly col: number; readonly row: number }
}

export function summaryOf(terrain: TerrainGrid): TerrainSummary {
  const { heights, filled } = terrain
  let [lowestM, highestM, missing] = [Infinity, -Infinity, 0]
  for (let i = 0; i < heights.length; i++) {
    const height = heights[i]
    if (Number.isNaN(height)) missing++
    if (height < lowestM) lowestM = height
    if (height > highestM) highestM = height
  }
  const filledCells = filled ? filled.reduce((sum, isFilled) => sum + isFilled, 0) : 0
  const missingShare = missing / heights.length
  return { lowestM, highestM, missingShare, filledCells, middle: middleOf(terrain) }
}

function middleOf({ cols, rows, heights }: TerrainGrid): { col: number; row: number } {
  const [midCol, midRow] = [Math.floor(cols / 2), Math.floor(rows / 2)]
  const isGround = (col: number, row: number) => !Number.isNaN(heights[row * cols + col])
  let best = { col: midCol, row: midRow }
  if (isGround(midCol, midRow)) return best
  let least = Infinity
  for (let row = 0; row < rows; row++) {
    if ((row - midRow) ** 2 >= least) continue
    for (let col = 0; col < cols; col++) {
      const squared = (col - midCol) ** 2 + (row - midRow) ** 2
      if (squared >= least || !isGround(col, row)) continue
      least = squared
      best = { col, row }
    }
  }
  return best
}
