import { PilotError } from '../errors'
import type { RouteLine } from '../route/routeLine'
import type { GridPosition, TerrainGrid } from '../terrain/grid'
import { groundAt } from '../terrain/grid'
import { say } from '../words/say'
import type { Target } from './heat'

/** More targets than this only cost time. */
export const MOST_TARGETS = 200

/**
 * Targets along a route as flown from its first waypoint to its last, evenly spaced: the legs from
 * and to the launch point go where the pilot stands.
 */
export function targetsOfRoute(line: RouteLine, weight: number, most: number): Target[] {
  const samples = line.stations.flatMap(({ waypoint, sample }) =>
    waypoint === null ? [] : [sample],
  )
  const [first, last] = [samples[0], samples[samples.length - 1]]
  const count = Math.max(1, Math.min(most, last - first + 1))
  return Array.from({ length: count }, (_, k) => {
    const sample = first + (count > 1 ? Math.round((k * (last - first)) / (count - 1)) : 0)
    return {
      col: line.cols[sample],
      row: line.rows[sample],
      amslM: line.flownM[sample],
      weight: weight / count,
      flownM: line.distanceM[sample],
    }
  })
}

/** Targets so high above the ground of some cells, spread evenly over them. */
export function targetsOfCells(
  cells: readonly number[],
  terrain: TerrainGrid,
  heightM: number,
  weight: number,
  most: number,
): Target[] {
  const known = cells.filter((cell) => !Number.isNaN(terrain.heights[cell]))
  const count = Math.min(most, known.length)
  return Array.from({ length: count }, (_, k) => {
    const cell = known[Math.floor(((k + 0.5) * known.length) / count)]
    return {
      col: cell % terrain.cols,
      row: Math.floor(cell / terrain.cols),
      amslM: terrain.heights[cell] + heightM,
      weight: weight / count,
    }
  })
}

/** A target over one place, such as a col; none where there is no ground. */
export function targetOver(
  place: GridPosition,
  terrain: TerrainGrid,
  heightM: number,
  weight: number,
): Target[] {
  const ground = groundAt(terrain, place)
  return Number.isNaN(ground) ? [] : [{ ...place, amslM: ground + heightM, weight }]
}

/** Throws a PilotError where there is nothing to see. */
export function checkTargets(targets: readonly Target[]): void {
  if (targets.length === 0) {
    throw new PilotError(say('targets.thereNoTargetSee'))
  }
}
