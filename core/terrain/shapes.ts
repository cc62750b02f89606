import type { Geometry, Position } from 'geojson'
import { cellIndex, type GridFrame, type GridLocator, type GridPosition } from './grid'

/** Points, lines and areas on a grid. An area is its outer ring and its holes, rings closed. */
export interface GridShapes {
  readonly points: readonly GridPosition[]
  readonly lines: readonly (readonly GridPosition[])[]
  readonly areas: readonly (readonly (readonly GridPosition[])[])[]
}

/** Longest stride between two places looked at along a line, cells. */
const LINE_STEP_CELLS = 0.125

/** Lays a GeoJSON geometry on a grid; its edges are straight there. */
export function shapesOnGrid(geometry: Geometry, locator: GridLocator): GridShapes {
  const place = ([lonDeg, latDeg]: Position) => locator.toGrid({ latDeg, lonDeg })
  const line = (positions: Position[]) => positions.map(place)
  const area = (rings: Position[][]) => rings.map(line)
  const nothing: GridShapes = { points: [], lines: [], areas: [] }
  switch (geometry.type) {
    case 'Point':
      return { ...nothing, points: [place(geometry.coordinates)] }
    case 'MultiPoint':
      return { ...nothing, points: line(geometry.coordinates) }
    case 'LineString':
      return { ...nothing, lines: [line(geometry.coordinates)] }
    case 'MultiLineString':
      return { ...nothing, lines: area(geometry.coordinates) }
    case 'Polygon':
      return { ...nothing, areas: [area(geometry.coordinates)] }
    case 'MultiPolygon':
      return { ...nothing, areas: geometry.coordinates.map(area) }
    case 'GeometryCollection': {
      const parts = geometry.geometries.map((part) => shapesOnGrid(part, locator))
      return {
        points: parts.flatMap(({ points }) => points),
        lines: parts.flatMap(({ lines }) => lines),
        areas: parts.flatMap(({ areas }) => areas),
      }
    }
  }
}

/**
 * Goes along a line in strides of an eighth of a cell at most, both ends included.
 * @param visit gets the place, the segment it is on and the share of that segment behind it
 */
export function visitLine(
  line: readonly GridPosition[],
  visit: (place: GridPosition, segment: number, share: number) => void,
): void {
  for (let segment = 0; segment + 1 < line.length; segment++) {
    const [from, to] = [line[segment], line[segment + 1]]
    const cells = Math.hypot(to.col - from.col, to.row - from.row)
    const strides = Math.max(1, Math.ceil(cells / LINE_STEP_CELLS))
    for (let stride = segment === 0 ? 0 : 1; stride <= strides; stride++) {
      const share = stride / strides
      const place = {
        col: from.col + (to.col - from.col) * share,
        row: from.row + (to.row - from.row) * share,
      }
      visit(place, segment, share)
    }
  }
}

/** Visits the cells whose centre lies in an area (even-odd rule), row by row. */
export function visitArea(
  rings: readonly (readonly GridPosition[])[],
  { cols, rows }: GridFrame,
  visit: (cell: number) => void,
): void {
  const edges = rings.flatMap((ring) => ring.slice(1).map((to, i) => [ring[i], to] as const))
  const ends = edges.flatMap(([from, to]) => [from.row, to.row])
  const first = Math.max(0, Math.ceil(ends.reduce((a, b) => Math.min(a, b), Infinity)))
  const last = Math.min(rows - 1, Math.floor(ends.reduce((a, b) => Math.max(a, b), -Infinity)))
  for (let row = first; row <= last; row++) {
    const crossings: number[] = []
    for (const [from, to] of edges) {
      if (from.row <= row === to.row <= row) continue
      crossings.push(from.col + ((row - from.row) / (to.row - from.row)) * (to.col - from.col))
    }
    crossings.sort((a, b) => a - b)
    for (let pair = 0; pair + 1 < crossings.length; pair += 2) {
      const end = Math.min(cols - 1, Math.floor(crossings[pair + 1]))
      for (let col = Math.max(0, Math.ceil(crossings[pair])); col <= end; col++) {
        visit(row * cols + col)
      }
    }
  }
}

/** The cells that shapes lie on, each once: those they touch, and those in their areas. */
export function cellsOfShapes({ points, lines, areas }: GridShapes, frame: GridFrame): number[] {
  const cells = new Set<number>()
  const add = (place: GridPosition) => {
    const cell = cellIndex(frame, place)
    if (cell >= 0) cells.add(cell)
  }
  points.forEach(add)
  for (const line of lines) visitLine(line, add)
  for (const rings of areas) {
    visitArea(rings, frame, (cell) => cells.add(cell))
    for (const ring of rings) visitLine(ring, add)
  }
  return [...cells]
}
