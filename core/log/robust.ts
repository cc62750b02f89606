/** A robust estimate of what values scatter around. */
export interface Fit {
  readonly value: number
  /** Ends of its 95 % interval. */
  readonly low: number
  readonly high: number
  /** Scatter of single values around it (one standard deviation of those that belong). */
  readonly scatter: number
  /** Share of the values farther away than three scatters. */
  readonly outlierShare: number
  readonly count: number
}

/**
 * Tukey's biweight loses sight of values so many scatters away; 95 % as efficient as the mean on
 * normal values. Source: P. J. Huber, E. M. Ronchetti, Robust Statistics, 2nd ed. (2009), 4.8 and
 * 7.8, from memory.
 */
const BIWEIGHT_REACH = 4.685
/** Median absolute deviation to standard deviation of normal values: 1 / 0.67449. */
const MAD_TO_SIGMA = 1.4826
/**
 * Values within so many scatters make the scatter anew; of normal values 1.24 % lie farther, and
 * without them the variance is short by this factor: 1 - 2 c phi(c) / (2 Phi(c) - 1), c = 2.5.
 * Source of the step: P. J. Rousseeuw, A. M. Leroy, Robust Regression and Outlier Detection
 * (1987), reweighting, from memory; the factor is worked out.
 */
const SCATTER_REACH = 2.5
const SCATTER_SHORT = 1 - (2 * SCATTER_REACH * 0.017528) / 0.987581
const ROUNDS = 4
const STEPS = 30
const OUTLIER_SCATTERS = 3

/** Resamples that the interval is made of, and the most and least blocks they are made from. */
const RESAMPLES = 400
const MOST_BLOCKS = 60
const LEAST_BLOCKS = 8

/**
 * The middle of values that come one after the other, of which a good part may be anything: a
 * biweight around the median. Neighbours in time err alike, so its interval comes from drawing
 * whole blocks of them anew (bootstrap by blocks), always in the same way.
 * @param values in the order of their times, none NaN; at least LEAST_BLOCKS of them
 */
export function robustFit(values: Float64Array): Fit {
  const { value, scatter } = biweight(values)
  const blocks = Math.min(MOST_BLOCKS, Math.max(LEAST_BLOCKS, Math.floor(values.length / 12)))
  const edge = (i: number) => Math.floor((i * values.length) / blocks)
  const random = generator(values.length)
  const drawn = new Float64Array(values.length + Math.ceil(values.length / blocks))
  const middles = Float64Array.from({ length: RESAMPLES }, () => {
    let length = 0
    while (length < values.length) {
      const block = Math.floor(random() * blocks)
      const piece = values.subarray(edge(block), edge(block + 1))
      if (length + piece.length > drawn.length) break
      drawn.set(piece, length)
      length += piece.length
    }
    // The scatter is the same for all of them, so the middle alone is found anew.
    return biweightMiddle(drawn.subarray(0, length), value, scatter)
  }).sort()
  const at = (share: number) => middles[Math.round(share * (RESAMPLES - 1))]
  const far = values.filter((one) => Math.abs(one - value) > OUTLIER_SCATTERS * scatter).length
  return {
    value,
    low: Math.min(value, at(0.025)),
    high: Math.max(value, at(0.975)),
    scatter,
    outlierShare: far / values.length,
    count: values.length,
  }
}

/** Middle and scatter of values, whatever a fifth of them may be. */
export function biweight(values: Float64Array): { value: number; scatter: number } {
  const sorted = values.slice().sort()
  let value = sorted[sorted.length >> 1]
  const off = sorted.map((one) => Math.abs(one - value)).sort()
  let scatter = MAD_TO_SIGMA * off[off.length >> 1]
  for (let round = 0; round < ROUNDS && scatter > 0; round++) {
    value = biweightMiddle(values, value, scatter)
    scatter = scatterOf(values, value, scatter)
  }
  return { value, scatter }
}

function biweightMiddle(values: Float64Array, start: number, scatter: number): number {
  let middle = start
  for (let step = 0; step < STEPS; step++) {
    let [sum, weights] = [0, 0]
    for (const value of values) {
      const u = (value - middle) / (BIWEIGHT_REACH * scatter)
      if (u > -1 && u < 1) {
        const weight = (1 - u * u) ** 2
        sum += weight * value
        weights += weight
      }
    }
    const next = weights > 0 ? sum / weights : middle
    if (Math.abs(next - middle) < 1e-6 * scatter) return next
    middle = next
  }
  return middle
}

/** The scatter of the values that are not far off. */
function scatterOf(values: Float64Array, middle: number, scatter: number): number {
  let [sum, count] = [0, 0]
  for (const value of values) {
    const off = value - middle
    if (Math.abs(off) > SCATTER_REACH * scatter) continue
    sum += off * off
    count++
  }
  return count > 1 ? Math.sqrt(sum / (count - 1) / SCATTER_SHORT) : scatter
}

/** Numbers from 0 to 1 that look random and are the same every time (mulberry32). */
function generator(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let mixed = Math.imul(state ^ (state >>> 15), state | 1)
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61)
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }
}
