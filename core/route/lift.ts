import type { GridLocator } from '../terrain/grid'
import { floorAt, type RouteAir, type RouteLimits } from './corridor'
import { changeWaypoint, insertWaypoint, ROUTE_LIMITS, waypointAt, type Route } from './route'
import type { RouteLine } from './routeLine'

/** Room left over the floor, so that the next look at it does not find the line under it, metres. */
const HEADROOM_M = 1
/** A line so little under what it should be is let be, metres. */
const TOLERANCE_M = 0.3
/** Waypoints put into one leg at the most. */
const MOST_A_LEG = 24
/** Samples to either side whose need counts too: floors jump from cell to cell. */
const REACH = 4

/**
 * Lifts a route to its floor, and off the ground, wherever the ceiling allows: waypoints are
 * raised, and legs get waypoints where they would pass under it. Where floor and ceiling meet the
 * line stays as it is. Nothing is ever lowered.
 */
export function liftToFloor(
  route: Route,
  line: RouteLine,
  air: RouteAir,
  limits: RouteLimits,
  locator: GridLocator,
): Route {
  const needed = neededHeights(line, air, limits)
  const wide = widened(needed, line, limits)
  const { stations, groundM, flownM } = line
  // From the last leg to the first, so that the indices of earlier waypoints stay.
  let lifted = route
  const heightAt = stations.map(({ sample, amslM }) =>
    needed[sample] > amslM + TOLERANCE_M ? wide[sample] : amslM,
  )
  for (let leg = stations.length - 2; leg >= 0; leg--) {
    const [from, to] = [stations[leg], stations[leg + 1]]
    const isStraight = line.legs[leg].shape === 'straight'
    const fixed = new Map([
      [from.sample, heightAt[leg]],
      [to.sample, heightAt[leg + 1]],
    ])
    const samples = [from.sample, to.sample]
    while (samples.length < 2 + MOST_A_LEG) {
      const worst = worstUnder(samples, fixed, needed, groundM, isStraight)
      if (worst < 0) break
      fixed.set(worst, wide[worst])
      samples.push(worst)
      samples.sort((a, b) => a - b)
    }
    const before = to.waypoint ?? route.waypoints.length
    for (const sample of samples.slice(1, -1).reverse()) {
      const at = locator.toLatLon({ col: line.cols[sample], row: line.rows[sample] })
      const agl = upTo((fixed.get(sample) ?? flownM[sample]) - groundM[sample], limits.ceilingM)
      lifted = insertWaypoint(lifted, before, { ...waypointAt(at, agl), leg: line.legs[leg].shape })
    }
    // Indices up to this leg's own waypoint are still those of the route.
    if (to.waypoint === null || heightAt[leg + 1] <= to.amslM + TOLERANCE_M) continue
    const agl = upTo(heightAt[leg + 1] - to.groundM, limits.ceilingM)
    const index = to.waypoint + samples.length - 2
    const isOverSea = lifted.waypoints[index].heightOver === 'sea'
    lifted = changeWaypoint(lifted, index, { heightM: isOverSea ? to.groundM + agl : agl })
  }
  const [launch] = stations
  // The route may begin and end over the launch point.
  const overLaunch = Math.max(
    ...stations.flatMap(({ waypoint }, i) => (waypoint === null ? [heightAt[i]] : [])),
  )
  if (overLaunch <= launch.amslM + TOLERANCE_M) return lifted
  const highest = Math.min(limits.ceilingM, ROUTE_LIMITS.takeOffHeightM[1])
  return { ...lifted, takeOffHeightM: upTo(overLaunch - launch.groundM, highest) }
}

/** Rounded up to a whole metre, but never over the ceiling. */
function upTo(heightM: number, ceilingM: number): number {
  return Math.min(Math.ceil(heightM), Math.max(ceilingM, heightM))
}

/** What the line should reach at every sample, above sea level; -Infinity where it may stay. */
function neededHeights(
  { groundM, surfaceM }: RouteLine,
  air: RouteAir,
  { ceilingM, clearanceM, floorKind }: RouteLimits,
): Float64Array {
  return groundM.map((ground, i) => {
    const floor = Math.max(floorAt(air, floorKind, i), surfaceM[i] - ground + clearanceM)
    return floor <= ceilingM ? ground + Math.min(floor + HEADROOM_M, ceilingM) : -Infinity
  })
}

/** The same with the needs of the samples nearby: what is lifted is lifted over all of a jump. */
function widened(
  needed: Float64Array,
  { groundM }: RouteLine,
  { ceilingM }: RouteLimits,
): Float64Array {
  return needed.map((height, i) => {
    let most = height
    for (let k = Math.max(0, i - REACH); k <= Math.min(needed.length - 1, i + REACH); k++) {
      most = Math.max(most, Math.min(needed[k], groundM[i] + ceilingM))
    }
    return most
  })
}

/** The sample between fixed ones where the line passes farthest under what is needed; -1 for none. */
function worstUnder(
  samples: readonly number[],
  fixed: ReadonlyMap<number, number>,
  needed: Float64Array,
  groundM: Float64Array,
  isStraight: boolean,
): number {
  let worst = -1
  let most = TOLERANCE_M
  for (let k = 0; k + 1 < samples.length; k++) {
    const [a, b] = [samples[k], samples[k + 1]]
    const height = (sample: number) =>
      (fixed.get(sample) ?? NaN) - (isStraight ? 0 : groundM[sample])
    const [from, to] = [height(a), height(b)]
    for (let i = a + 1; i < b; i++) {
      const flown = from + ((to - from) * (i - a)) / (b - a) + (isStraight ? 0 : groundM[i])
      if (needed[i] - flown > most) {
        most = needed[i] - flown
        worst = i
      }
    }
  }
  return worst
}
