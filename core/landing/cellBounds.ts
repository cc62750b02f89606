/** Corner cells of a set of cells, both included. */
export interface CellBounds {
  readonly west: number
  readonly north: number
  readonly east: number
  readonly south: number
}

export function cellBounds(cells: ArrayLike<number>, cols: number): CellBounds {
  let [west, north, east, south] = [Infinity, Infinity, -1, -1]
  for (let k = 0; k < cells.length; k++) {
    const [x, y] = [cells[k] % cols, Math.floor(cells[k] / cols)]
    if (x < west) west = x
    if (x > east) east = x
    if (y < north) north = y
    if (y > south) south = y
  }
  return { west, north, east, south }
}
