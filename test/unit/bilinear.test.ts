import { describe, expect, test } from 'vitest'
import { bilinear } from '../../core/terrain/grid'

const [COLS, ROWS] = [4, 3]
/** A plane, on which bilinear values are exact, with one cell missing at column 2, row 1. */
const plane = (col: number, row: number) => 100 + 3 * col - 7 * row
const whole = Float32Array.from({ length: COLS * ROWS }, (_, i) =>
  plane(i % COLS, Math.floor(i / COLS)),
)
const holed = whole.map((height, i) => (i === COLS + 2 ? NaN : height))
const at = (values: Float32Array, x: number, y: number) => bilinear(values, COLS, ROWS, x, y)

describe('bilinear values', () => {
  test('between cells, on them, and on the outermost lines', () => {
    for (const [x, y] of [
      [0.25, 1.75],
      [1, 1],
      [3, 0.5],
      [2.5, 2],
      [3, 2],
    ]) {
      expect(at(whole, x, y)).toBeCloseTo(plane(x, y), 4)
    }
  })

  test('held outside the outermost cell centres', () => {
    expect(at(whole, -0.5, 1)).toBe(plane(0, 1))
    expect(at(whole, 3.4, 2.5)).toBe(plane(3, 2))
  })

  test('a missing cell counts where it has weight, and only there', () => {
    expect(at(holed, 1.5, 0.5)).toBeNaN()
    expect(at(holed, 2, 1)).toBeNaN()
    expect(at(holed, 1, 1)).toBe(plane(1, 1))
    expect(at(holed, 1.5, 0)).toBeCloseTo(plane(1.5, 0), 4)
    expect(at(holed, 1, 1.5)).toBeCloseTo(plane(1, 1.5), 4)
  })
})
