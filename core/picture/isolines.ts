import { contours } from 'd3-contour'
import type { LatLon } from '../geodesy/earth'
import { coarsenFrame, means } from '../terrain/coarsen'
import { GridLocator, type GridFrame } from '../terrain/grid'

/** A line along which a field has one value. */
export interface Isoline {
  readonly value: number
  readonly line: readonly LatLon[]
}

/** Fields with a longer side are averaged first: finer lines could not be told apart on a map. */
const MOST_CELLS_A_SIDE = 800
/** Shorter lines would be specks, cells of the averaged field. */
const FEWEST_POINTS = 16
/** Points right at a centre beside no answer belong to its border, cells. */
const SLACK = 1e-3

/**
 * Isolines of a field, linear between cell centres. They end where the field has no answer and at
 * the border of the grid.
 */
export function isolines(
  field: Float32Array,
  frame: GridFrame,
  values: readonly number[],
): Isoline[] {
  const factor = Math.ceil(Math.max(frame.cols, frame.rows) / MOST_CELLS_A_SIDE)
  const coarseFrame = coarsenFrame(frame, factor)
  const { cols, rows } = coarseFrame
  const coarse = means(field, frame, factor)
  const locator = new GridLocator(coarseFrame)
  const trace = contours().size([cols, rows])
  const hasAnswer = (x: number, y: number) =>
    x >= 0 && y >= 0 && x < cols && y < rows && !Number.isNaN(coarse[y * cols + x])
  /** True where all the cell centres around a place of the tracer have an answer. */
  const isInside = ([x, y]: number[]) =>
    [Math.floor(x - 0.5 - SLACK), Math.ceil(x - 0.5 + SLACK)].every((col) =>
      [Math.floor(y - 0.5 - SLACK), Math.ceil(y - 0.5 + SLACK)].every((row) => hasAnswer(col, row)),
    )
  // The tracer counts from the outer corner of the first cell.
  const place = ([x, y]: number[]) => locator.toLatLon({ col: x - 0.5, row: y - 0.5 })

  return values.flatMap((value) => {
    const rings = trace.contour(coarse as unknown as number[], value).coordinates.flat()
    return rings
      .flatMap((ring) => runs(ring, isInside))
      .filter((points) => points.length >= FEWEST_POINTS)
      .map((points) => ({ value, line: points.map(place) }))
  })
}

/** The stretches of a line whose points pass a test. */
function runs(line: number[][], passes: (point: number[]) => boolean): number[][][] {
  const found: number[][][] = []
  let run: number[][] = []
  for (const point of line) {
    if (passes(point)) {
      run.push(point)
    } else if (run.length > 0) {
      found.push(run)
      run = []
    }
  }
  return run.length > 0 ? [...found, run] : found
}
