import type { LatLon } from '../geodesy/earth'
import type { GridLocator, TerrainGrid } from '../terrain/grid'
import type { GroundArea } from './areas'
import { soonestOnFoot } from './landing'
import { measureWay, wayTo, type WalkField } from './walk'

/** The way on foot to an area. */
export interface FootWay {
  readonly timeS: number
  readonly lengthM: number
  readonly climbM: number
  readonly line: readonly LatLon[]
  /** Heights along it, above sea level. */
  readonly profileM: readonly number[]
  /** Stretches on or under possible avalanche slopes. */
  readonly avalanche: readonly (readonly LatLon[])[]
  /** True where part of the area itself is. */
  readonly areaEndangered: boolean
}

/**
 * The soonest way on foot to any cell of an area; null where nobody gets.
 * @param snow possible avalanche ground of the site; null without snow
 */
export function footWayTo(
  area: Pick<GroundArea, 'cells'>,
  walked: WalkField,
  { heights, cols }: TerrainGrid,
  locator: GridLocator,
  cellM: number,
  snow: Uint8Array | null,
): FootWay | null {
  const end = soonestOnFoot(area, walked)
  const cells = end && wayTo(walked, cols, end.cell)
  if (!cells) return null
  const place = (cell: number) =>
    locator.toLatLon({ col: cell % cols, row: Math.floor(cell / cols) })
  const endangered = new Set(snow ? cells.filter((cell) => snow[cell]) : [])
  return {
    timeS: end.timeS,
    ...measureWay(cells, heights, cols, cellM),
    line: cells.map(place),
    profileM: cells.map((cell) => heights[cell]),
    avalanche: stretches(cells, endangered).map((stretch) => stretch.map(place)),
    areaEndangered: snow !== null && area.cells.some((cell) => snow[cell]),
  }
}

/** Unbroken runs of a way that are in a set. */
function stretches(way: readonly number[], chosen: ReadonlySet<number>): number[][] {
  const runs: number[][] = []
  let run: number[] = []
  for (const cell of way) {
    if (chosen.has(cell)) run.push(cell)
    else if (run.length > 0) {
      runs.push(run)
      run = []
    }
  }
  return run.length > 0 ? [...runs, run] : runs
}
