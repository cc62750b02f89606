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
/** A resample's middle lies close by: so many steps find it. */
const RESAMPLE_STEPS = 4
const OUTLIER_SCATTERS = 3

/** Resamples that the interval is made of. */
const RESAMPLES = 300
/** Neighbours in time err alike for so long at least, seconds. */
const LEAST_BLOCK_S = 20
/** A block is so many times as long as values stay alike. */
const BLOCK_TIMES = 4
/** Values are cut into so many blocks at least. */
const FEWEST_BLOCKS = 8
/** Seconds that a value may stand for: what lies in a gap was not measured. */
const LONGEST_STEP_S = 2

/** Values with the times they were measured at, rising. */
export interface TimedValues {
  readonly timeS: Float64Array
  readonly values: Float64Array
}

/** How long values were measured, gaps left out, seconds. */
export function measuredS(timeS: Float64Array): number {
  let sum = 0
  for (let i = 1; i < timeS.length; i++) sum += Math.min(LONGEST_STEP_S, timeS[i] - timeS[i - 1])
  return sum
}

/** The shortest measurement that an interval is made of, a wide one then, seconds. */
export const SHORTEST_S = 60

/**
 * The middle of values that come one after the other, of which a good part may be anything: a
 * biweight around the median. Neighbours in time err alike, so its interval comes from drawing
 * whole stretches of them anew (moving blocks, in a circle), always in the same way; a stretch is
 * several times as long as the values stay alike. Few stretches widen the interval as Student's t
 * does.
 * @param measured none NaN, over SHORTEST_S at least
 */
export function robustFit({ timeS, values }: TimedValues): Fit {
  const { value, scatter } = biweight(values)
  const count = values.length
  const stepS = measuredS(timeS) / (count - 1)
  const alikeS = stepS * alikeSteps(values, value, scatter)
  const wishedS = Math.max(LEAST_BLOCK_S, BLOCK_TIMES * alikeS)
  const longest = Math.floor(count / FEWEST_BLOCKS)
  const length = Math.max(1, Math.min(longest, Math.round(wishedS / stepS)))
  const random = generator(count)
  const drawn = new Float64Array(count)
  const middles = Float64Array.from({ length: RESAMPLES }, () => {
    for (let at = 0; at < count;) {
      const from = Math.floor(random() * count)
      for (let i = 0; i < length && at < count; i++) drawn[at++] = values[(from + i) % count]
    }
    // The scatter is the same for all of them, so the middle alone is found anew.
    return biweightMiddle(drawn, value, scatter, RESAMPLE_STEPS)
  }).sort()
  const blocks = count / length
  // Where even the longest blocks are shorter than the wish, the rest comes from how few they are.
  const wider = studentWidening(blocks) * Math.sqrt(Math.max(1, wishedS / (length * stepS)))
  const at = (share: number) =>
    value + wider * (middles[Math.round(share * (RESAMPLES - 1))] - value)
  const far = values.filter((one) => Math.abs(one - value) > OUTLIER_SCATTERS * scatter).length
  return {
    value,
    low: Math.min(value, at(0.025)),
    high: Math.max(value, at(0.975)),
    scatter,
    outlierShare: far / count,
    count,
  }
}

/**
 * How many steps values stay alike: the sum of their correlations up to the first that is small,
 * outliers held at three scatters.
 */
function alikeSteps(values: Float64Array, value: number, scatter: number): number {
  const most = OUTLIER_SCATTERS * scatter
  const off = values.map((one) => Math.max(-most, Math.min(most, one - value)))
  const sumOf = (lag: number) => {
    let sum = 0
    for (let i = lag; i < off.length; i++) sum += off[i] * off[i - lag]
    return sum / (off.length - lag)
  }
  const variance = sumOf(0)
  if (!(variance > 0)) return 1
  let steps = 1
  for (let lag = 1; lag < off.length / 4; lag++) {
    const correlation = sumOf(lag) / variance
    if (correlation < 0.05) break
    steps += 2 * correlation
  }
  return steps
}

/**
 * How many times a 95 % interval from so few blocks must be wider than one from many: Student's t
 * over the normal quantile, by the first two terms of its expansion (Abramowitz and Stegun, 26.7.5,
 * from memory), and the blocks' own mean.
 */
function studentWidening(blocks: number): number {
  const free = Math.max(2, blocks - 1)
  const z = 1.959964
  const t = z + (z ** 3 + z) / (4 * free) + (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * free ** 2)
  return (t / z) * Math.sqrt(blocks / (blocks - 1))
}

/** Middle and scatter of values, whatever a fifth of them may be. */
export function biweight(values: Float64Array): { value: number; scatter: number } {
  const sorted = values.slice().sort()
  let value = sorted[sorted.length >> 1]
  const off = sorted.map((one) => Math.abs(one - value)).sort()
  // Values in whole steps scatter within one, where most are equal.
  const least = stepOf(sorted) / Math.sqrt(12)
  let scatter = Math.max(least, MAD_TO_SIGMA * off[off.length >> 1])
  for (let round = 0; round < ROUNDS && scatter > 0; round++) {
    value = biweightMiddle(values, value, scatter)
    scatter = Math.max(least, scatterOf(values, value, scatter))
  }
  return { value, scatter }
}

/** The least difference between values that differ. */
function stepOf(sorted: Float64Array): number {
  let step = Infinity
  for (let i = 1; i < sorted.length; i++) {
    const rise = sorted[i] - sorted[i - 1]
    if (rise > 1e-9 && rise < step) step = rise
  }
  return step === Infinity ? 0 : step
}

function biweightMiddle(
  values: Float64Array,
  start: number,
  scatter: number,
  steps = STEPS,
): number {
  let middle = start
  for (let step = 0; step < steps; step++) {
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
