import { scaleLinear } from 'd3-scale'
import { area, line } from 'd3-shape'
import { nearestIndex } from './nearestIndex'
import { MARGIN } from './profileLayout'

/** Measured values of one piece of the chart: their middle, and where most of them lie. */
interface Piece {
  readonly x: number
  readonly middle: number
  readonly low: number
  readonly high: number
}

/** Pixels of a piece: measured values scatter, and thousands of dots would hide it. */
const PIECE_PIXELS = 3
/** Nine of ten values lie within the band. */
const TAIL = 0.05
/** Room over and under what is drawn, share of its range. */
const HEADROOM = 0.07

/** A series along the time of a flight. */
export interface TimeSeries {
  readonly timeS: Float64Array
  readonly values: Float64Array
}

/**
 * Scales and outlines of measured values along the time of a flight, with what was predicted.
 * @param levels values that must be within the chart
 * @param strips room left under the curves, pixels
 */
export function layoutFlown(
  measured: TimeSeries,
  predicted: TimeSeries,
  levels: readonly number[],
  width: number,
  height: number,
  strips: number,
) {
  const bottom = height - MARGIN.bottom
  const until = Math.max(1, lastOf(measured.timeS), lastOf(predicted.timeS))
  const x = scaleLinear([0, until / 60], [MARGIN.left, width - MARGIN.right])
  const xOf = (seconds: number) => x(seconds / 60)
  const pieces = piecesOf(measured, xOf)
  const expected = piecesOf(predicted, xOf)
  const all = [...levels, ...pieces.flatMap(({ low, high }) => [low, high]), ...expected.map(({ middle }) => middle)] // prettier-ignore
  const [lowest, highest] = [Math.min(...all), Math.max(...all)]
  const room = Math.max(0.5, (highest - lowest) * HEADROOM)
  const y = scaleLinear([lowest - room, highest + room], [bottom - strips, MARGIN.top])
  const path = line<Piece>(
    (piece) => piece.x,
    ({ middle }) => y(middle),
  ).digits(1)
  return {
    x,
    y,
    xOf,
    bottom,
    predicted: path(expected) ?? '',
    measured: path(pieces) ?? '',
    band:
      area<Piece>(
        (piece) => piece.x,
        ({ low }) => y(low),
        ({ high }) => y(high),
      ).digits(1)(pieces) ?? '',
    /** The entry of a series nearest to a pixel. */
    entryAt: (pixel: number) => nearestIndex(measured.timeS, x.invert(pixel) * 60),
  }
}

function lastOf(values: Float64Array): number {
  return values.length > 0 ? values[values.length - 1] : 0
}

/** The values by piece of the chart; pieces without any are left out. */
function piecesOf({ timeS, values }: TimeSeries, xOf: (seconds: number) => number): Piece[] {
  const pieces: Piece[] = []
  let piece = NaN
  let inside: number[] = []
  const close = () => {
    if (inside.length === 0) return
    inside.sort((a, b) => a - b)
    const at = (share: number) => inside[Math.round(share * (inside.length - 1))]
    pieces.push({
      x: (piece + 0.5) * PIECE_PIXELS,
      middle: at(0.5),
      low: at(TAIL),
      high: at(1 - TAIL),
    })
    inside = []
  }
  for (let i = 0; i < timeS.length; i++) {
    if (Number.isNaN(values[i])) continue
    const next = Math.floor(xOf(timeS[i]) / PIECE_PIXELS)
    if (next !== piece) close()
    piece = next
    inside.push(values[i])
  }
  close()
  return pieces
}
