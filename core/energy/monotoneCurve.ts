/**
 * Smooth curve through points that neither overshoots nor adds hills between them. Before the
 * first point it is level.
 * Source: F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238, with the harmonic
 * means of Fritsch and Butland for the slopes.
 * @param xs rising, at least two
 */
export function monotoneCurve(xs: readonly number[], ys: readonly number[]): (x: number) => number {
  const last = xs.length - 1
  const secants = xs.slice(1).map((x, i) => (ys[i + 1] - ys[i]) / (x - xs[i]))
  const slopes = xs.map((_, i) => {
    if (i === 0) return secants[0]
    if (i === last) return secants[last - 1]
    const [before, after] = [secants[i - 1], secants[i]]
    if (before * after <= 0) return 0
    const [a, b] = [xs[i] - xs[i - 1], xs[i + 1] - xs[i]]
    return (3 * (a + b)) / ((2 * b + a) / before + (b + 2 * a) / after)
  })
  return (x) => {
    if (x <= xs[0]) return ys[0]
    let i = 0
    while (i < last - 1 && x > xs[i + 1]) i++
    const width = xs[i + 1] - xs[i]
    const t = (x - xs[i]) / width
    const s = 1 - t
    return (
      ys[i] * s * s * (1 + 2 * t) +
      ys[i + 1] * t * t * (1 + 2 * s) +
      width * t * s * (slopes[i] * s - slopes[i + 1] * t)
    )
  }
}
