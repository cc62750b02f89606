/** A number seen as the bits of its 32-bit float: exponent and mantissa. */
const FLOAT = new Float32Array(1)
const BITS = new Int32Array(FLOAT.buffer)
const DB_PER_OCTAVE = 10 * Math.log10(2)
const EXPONENT_BIAS = 127
const MANTISSA_BITS = 23
const TABLE_BITS = 12
const TABLE_MASK = (1 << TABLE_BITS) - 1
/** Decibels of the mantissa's first bits, at the middle of what they stand for. */
const MANTISSA_DB = Float64Array.from(
  { length: 1 << TABLE_BITS },
  (_, i) => 10 * Math.log10(1 + (i + 0.5) / (1 << TABLE_BITS)) - EXPONENT_BIAS * DB_PER_OCTAVE,
)

/**
 * 10 log10 of a positive number within 0.001 dB, for the many cells of a whole site. Zero gives
 * some -380 dB.
 */
export function fastDecibels(ratio: number): number {
  FLOAT[0] = ratio
  const bits = BITS[0]
  return (
    (bits >> MANTISSA_BITS) * DB_PER_OCTAVE +
    MANTISSA_DB[(bits >> (MANTISSA_BITS - TABLE_BITS)) & TABLE_MASK]
  )
}
