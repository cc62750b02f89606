/**
 * One number and its bits, in the middle of memory that nothing else is in: where two threads' own
 * lay in one line of the processor's cache, each waited for the other at every use.
 */
const FLOATS = new Float32Array(64)
const ALL_BITS = new Int32Array(FLOATS.buffer)
const MIDDLE = 32
const DB_PER_OCTAVE = 10 * Math.log10(2)
export const EXPONENT_BIAS = 127
export const MANTISSA_BITS = 23
const MANTISSA_MASK = (1 << MANTISSA_BITS) - 1
const PER_MANTISSA = 1 / (1 << MANTISSA_BITS)

/** The bits of a number as a 32-bit float (IEEE 754): exponent and mantissa of one above zero. */
export function floatBits(value: number): number {
  FLOATS[MIDDLE] = value
  return ALL_BITS[MIDDLE]
}

/**
 * 10 log10 of a positive number within 0.001 dB, for the many cells of a whole site. Zero gives
 * some -380 dB. The logarithm of the mantissa 1 + m is m + m (1 - m) times a square in m that was
 * fitted to the least worst error.
 */
export function fastDecibels(ratio: number): number {
  const bits = floatBits(ratio)
  const m = (bits & MANTISSA_MASK) * PER_MANTISSA
  const bend = m * (1 - m) * (0.4387257 + m * (0.0821305 * m - 0.239058))
  return ((bits >> MANTISSA_BITS) - EXPONENT_BIAS + m + bend) * DB_PER_OCTAVE
}
