/** Index of the value nearest to one, among values that rise. */
export function nearestIndex(rising: Float64Array, value: number): number {
  let [low, high] = [0, rising.length - 1]
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (rising[middle] <= value) low = middle
    else high = middle
  }
  return value - rising[low] < rising[high] - value ? low : high
}
