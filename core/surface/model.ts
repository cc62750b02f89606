import { PilotError } from '../errors'
import { LatticeMapping } from '../geodesy/lattice'
import { bilinear, GridLocator, type TerrainGrid } from '../terrain/grid'

/** A second terrain as the surface of the first: trees, buildings and all. */
export interface SurfaceModel {
  readonly name: string
  /** Metres above sea level on the grid of the terrain; NaN where the model has no data. */
  readonly heights: Float32Array
  /** Share of the terrain that it covers, 0 to 1. */
  readonly share: number
}

/**
 * Brings a surface model onto the grid of a terrain, bilinear.
 * Throws a PilotError where the two do not overlap.
 */
export function surfaceModelOn(terrain: TerrainGrid, model: TerrainGrid): SurfaceModel {
  const { cols, rows } = terrain
  const [from, to] = [new GridLocator(terrain), new GridLocator(model)]
  const mapping = new LatticeMapping(cols, rows, (col, row) => {
    const place = to.toGrid(from.toLatLon({ col, row }))
    return [place.col, place.row]
  })
  const heights = new Float32Array(cols * rows).fill(NaN)
  const [x, y] = [new Float64Array(cols), new Float64Array(cols)]
  let covered = 0
  for (let row = 0, i = 0; row < rows; row++) {
    mapping.mapRow(row, x, y)
    for (let col = 0; col < cols; col++, i++) {
      const isInside =
        x[col] >= -0.5 && y[col] >= -0.5 && x[col] <= model.cols - 0.5 && y[col] <= model.rows - 0.5
      if (!isInside || Number.isNaN(terrain.heights[i])) continue
      heights[i] = bilinear(model.heights, model.cols, model.rows, x[col], y[col])
      if (!Number.isNaN(heights[i])) covered++
    }
  }
  if (covered === 0) {
    throw new PilotError(
      `"${model.name}" does not overlap the terrain "${terrain.name}"; choose a surface model of the same place.`,
    )
  }
  const share =
    covered / terrain.heights.reduce((n, height) => n + (Number.isNaN(height) ? 0 : 1), 0)
  return { name: model.name, heights, share }
}
