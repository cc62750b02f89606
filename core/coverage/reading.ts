/** An extreme of a reading and the cell that has it. */
export interface Extreme {
  /** Metres above ground. */
  readonly heightM: number
  readonly cell: number
}

/** What a clear-height field says about some cells, such as those along a ridge line. */
export interface Reading {
  /** Cells with an answer, and without one. */
  readonly cells: number
  readonly unanswered: number
  /** Where one can be lowest, and the height from which all of the cells are clear. */
  readonly lowest: Extreme | null
  readonly highest: Extreme | null
  /** Share of the cells with an answer that are clear at the flying height, 0 to 1. */
  readonly clearShare: number
}

/** Reads a field over cells, each of them once. */
export function readField(
  clearHeightsM: Float32Array,
  cells: readonly number[],
  flyingHeightM: number,
): Reading {
  let lowest: Extreme | null = null
  let highest: Extreme | null = null
  let [answered, clear] = [0, 0]
  for (const cell of cells) {
    if (Number.isNaN(clearHeightsM[cell])) continue
    const heightM = Math.max(0, clearHeightsM[cell])
    answered++
    if (heightM <= flyingHeightM) clear++
    if (!lowest || heightM < lowest.heightM) lowest = { heightM, cell }
    if (!highest || heightM > highest.heightM) highest = { heightM, cell }
  }
  return {
    cells: answered,
    unanswered: cells.length - answered,
    lowest,
    highest,
    clearShare: clear / answered,
  }
}
