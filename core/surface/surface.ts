import { bilinear, type GridFrame, type TerrainGrid } from '../terrain/grid'
import type { GridShapes } from '../terrain/shapes'
import { raiseObstacle } from './raise'

/**
 * What the radio path must clear, on the grid of a terrain: metres above sea level at every cell
 * centre, bilinear between them, NaN where the terrain has no data. Where nothing stands on the
 * ground both are the terrain's own heights, the same array.
 */
export interface Surface {
  /** Ground and obstacles: what counts close to the launch point. */
  readonly bare: Float32Array
  /** Vegetation or the surface model as well: what counts beyond the clearing. */
  readonly covered: Float32Array
}

/** A surface as seen from one launch point. */
export interface SeenSurface extends Surface {
  /** Ground distance from the launch point up to which only the bare surface counts, metres. */
  readonly clearingM: number
}

/** Trees of one height wherever no surface model says what stands there. */
export interface Vegetation {
  /** 0 for none. */
  readonly heightM: number
  /** No trees on ground above this height above sea level, metres; null for no such line. */
  readonly treeLineM: number | null
}

/** An obstacle's footprint on the grid, and how it stands there. */
export interface StandingObstacle {
  readonly shapes: GridShapes
  /** Above the ground below it, metres. */
  readonly heightM: number
  /** True for a wire: it runs straight between its points, whatever the ground does below. */
  readonly isWire: boolean
}

/** The surface of a terrain on which nothing stands. */
export function bareGround({ heights }: TerrainGrid): Surface {
  return { bare: heights, covered: heights }
}

/**
 * Puts together what stands on a terrain.
 * @param model heights of a surface model on the grid of the terrain, NaN where it has none;
 *   there the uniform vegetation stands
 */
export function buildSurface(
  terrain: TerrainGrid,
  vegetation: Vegetation,
  model: Float32Array | null,
  obstacles: readonly StandingObstacle[],
): Surface {
  let bare = terrain.heights
  if (obstacles.length > 0) {
    bare = terrain.heights.slice()
    for (const obstacle of obstacles) raiseObstacle(bare, terrain, obstacle)
  }
  if (vegetation.heightM === 0 && !model) return { bare, covered: bare }
  return { bare, covered: coverGround(terrain, bare, vegetation, model) }
}

function coverGround(
  { heights }: TerrainGrid,
  bare: Float32Array,
  { heightM, treeLineM }: Vegetation,
  model: Float32Array | null,
): Float32Array {
  const covered = new Float32Array(heights.length)
  const treeLine = treeLineM ?? Infinity
  for (let i = 0; i < heights.length; i++) {
    const ground = heights[i]
    let top = model ? model[i] : NaN
    if (Number.isNaN(top)) top = ground < treeLine ? ground + heightM : ground
    // Written so that missing ground stays missing.
    covered[i] = top > bare[i] ? top : bare[i]
  }
  return covered
}

/** Height of the surface at a grid position, so far from the launch point. */
export function surfaceAt(
  { bare, covered, clearingM }: SeenSurface,
  { cols, rows }: GridFrame,
  position: { col: number; row: number },
  distanceM: number,
): number {
  const seen = distanceM <= clearingM ? bare : covered
  return bilinear(seen, cols, rows, position.col, position.row)
}
