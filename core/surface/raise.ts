import { bilinear, type GridPosition, type TerrainGrid } from '../terrain/grid'
import { visitArea, visitLine } from '../terrain/shapes'
import type { StandingObstacle } from './surface'

/**
 * Raises a surface so that it is at least as high as an obstacle everywhere on its footprint. The
 * four cell centres around each place rise, so a thin thing grows up to a cell on either side:
 * rather too much than too little.
 * @param surface heights on the grid of the terrain, changed in place
 */
export function raiseObstacle(
  surface: Float32Array,
  terrain: TerrainGrid,
  { shapes, heightM, isWire }: StandingObstacle,
): void {
  const groundAt = ({ col, row }: GridPosition) =>
    bilinear(terrain.heights, terrain.cols, terrain.rows, col, row)
  const { heights } = terrain
  const standing = (cell: number) => heights[cell] + heightM
  for (const point of shapes.points) raiseAround(surface, terrain, point, standing)
  for (const line of shapes.lines) {
    const tops = line.map((vertex) => groundAt(vertex) + heightM)
    visitLine(line, (place, segment, share) => {
      const straight = tops[segment] + (tops[segment + 1] - tops[segment]) * share
      const least = groundAt(place) + heightM
      // Where a point of the wire hangs over missing ground, as high as elsewhere over the rest.
      const top = straight > least ? straight : least
      raiseAround(surface, terrain, place, isWire ? () => top : standing)
    })
  }
  for (const rings of shapes.areas) {
    visitArea(rings, terrain, (cell) => raiseCell(surface, cell, standing(cell)))
    for (const ring of rings) {
      visitLine(ring, (place) => raiseAround(surface, terrain, place, standing))
    }
  }
}

function raiseAround(
  surface: Float32Array,
  terrain: TerrainGrid,
  { col, row }: GridPosition,
  topOf: (cell: number) => number,
): void {
  for (const r of [Math.floor(row), Math.ceil(row)]) {
    for (const c of [Math.floor(col), Math.ceil(col)]) {
      if (c < 0 || r < 0 || c >= terrain.cols || r >= terrain.rows) continue
      const cell = r * terrain.cols + c
      raiseCell(surface, cell, topOf(cell))
    }
  }
}

/** Missing ground stays missing. */
function raiseCell(surface: Float32Array, cell: number, topM: number): void {
  if (topM > surface[cell]) surface[cell] = topM
}
