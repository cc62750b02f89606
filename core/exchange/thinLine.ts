/** A position in metres: east, north and up of anywhere. */
export type Metres = readonly [east: number, north: number, up: number]

/**
 * Which positions of a line matter most to its shape in space (Douglas and Peucker's measure):
 * indices in order, the ends among them.
 * @param most how many at most
 * @param leastM positions that matter less than this are left out, metres
 */
export function thinLine(line: readonly Metres[], most: number, leastM = 0): number[] {
  const weights = new Float64Array(line.length)
  const open: [from: number, to: number, limit: number][] = [[0, line.length - 1, Infinity]]
  for (let span = open.pop(); span; span = open.pop()) {
    const [from, to, limit] = span
    let [farthest, index] = [0, -1]
    for (let i = from + 1; i < to; i++) {
      const away = distanceToSpan(line[i], line[from], line[to])
      if (away > farthest) [farthest, index] = [away, i]
    }
    if (index < 0) continue
    // None inside a span matters more than the one that parts it.
    weights[index] = Math.min(farthest, limit)
    open.push([from, index, weights[index]], [index, to, weights[index]])
  }
  const inner = [...weights.keys()]
    .filter((i) => i > 0 && i < line.length - 1 && weights[i] > leastM)
    .sort((a, b) => weights[b] - weights[a])
    .slice(0, Math.max(0, most - 2))
  return [...new Set([0, ...inner, line.length - 1])].sort((a, b) => a - b)
}

function distanceToSpan(at: Metres, from: Metres, to: Metres): number {
  const way = [0, 1, 2].map((axis) => to[axis] - from[axis])
  const off = [0, 1, 2].map((axis) => at[axis] - from[axis])
  const squared = way[0] ** 2 + way[1] ** 2 + way[2] ** 2
  const along = squared > 0 ? (off[0] * way[0] + off[1] * way[1] + off[2] * way[2]) / squared : 0
  const held = Math.min(1, Math.max(0, along))
  return Math.hypot(off[0] - held * way[0], off[1] - held * way[1], off[2] - held * way[2])
}
