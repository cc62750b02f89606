import type { LatLon } from '../geodesy/earth'
import { say } from '../words/say'
import type { Unknown } from '../plan/unknown'

export const HEIGHT_REFERENCES = ['ground', 'sea'] as const
/** What a height is measured from: the ground below, or the level of the sea. */
export type HeightReference = (typeof HEIGHT_REFERENCES)[number]

export const LEG_SHAPES = ['terrain', 'straight'] as const
/** How a leg is flown: along with the terrain, or in one straight line from end to end. */
export type LegShape = (typeof LEG_SHAPES)[number]

/** A place the route leads over. */
export interface Waypoint extends LatLon {
  /** The pilot's name for it; empty for its number. */
  readonly name: string
  readonly heightM: number
  readonly heightOver: HeightReference
  /** Shape of the leg that leads here. */
  readonly leg: LegShape
  /** Time spent over it, seconds. */
  readonly loiterS: number
  /** What its file says beyond this. */
  readonly unknown?: Unknown
}

/** A flight from the launch point over waypoints. */
export interface Route {
  readonly waypoints: readonly Waypoint[]
  /** Straight up over the launch point before the first leg, metres above ground. */
  readonly takeOffHeightM: number
  /** True for a route that comes back over the launch point, on a leg of this shape. */
  readonly endsAtLaunch: boolean
  readonly homeLeg: LegShape
}

export const NO_ROUTE: Route = {
  waypoints: [],
  takeOffHeightM: 30,
  endsAtLaunch: false,
  homeLeg: 'terrain',
}

export const ROUTE_LIMITS = {
  heightM: [-500, 9000],
  takeOffHeightM: [1, 500],
  loiterS: [0, 7200],
} as const

/** A waypoint that a route is drawn with. */
export function waypointAt({ latDeg, lonDeg }: LatLon, heightM: number): Waypoint {
  return { latDeg, lonDeg, name: '', heightM, heightOver: 'ground', leg: 'terrain', loiterS: 0 }
}

/** What a waypoint is called. */
export function waypointName({ waypoints }: Route, index: number): string {
  return waypoints[index].name || say('route.waypoint', { index: index + 1 })
}

function withWaypoints(route: Route, waypoints: readonly Waypoint[]): Route {
  // A way home needs somewhere to come from.
  return { ...route, waypoints, endsAtLaunch: route.endsAtLaunch && waypoints.length > 0 }
}

/** Puts a waypoint before the one with this index; at the end with their number. */
export function insertWaypoint(route: Route, index: number, waypoint: Waypoint): Route {
  return withWaypoints(route, route.waypoints.toSpliced(index, 0, waypoint))
}

export function changeWaypoint(route: Route, index: number, part: Partial<Waypoint>): Route {
  const { waypoints } = route
  return withWaypoints(route, waypoints.with(index, { ...waypoints[index], ...part }))
}

export function deleteWaypoint(route: Route, index: number): Route {
  return withWaypoints(route, route.waypoints.toSpliced(index, 1))
}

/** Takes a waypoint out and puts it where another is. */
export function moveWaypoint(route: Route, from: number, to: number): Route {
  const rest = route.waypoints.toSpliced(from, 1)
  return withWaypoints(route, rest.toSpliced(to, 0, route.waypoints[from]))
}

/** The route with its way back over the same waypoints. */
export function outAndBack(route: Route): Route {
  const { waypoints } = route
  if (waypoints.length === 0) return route
  // The leg that led to a waypoint leads on the way back to the one before it.
  const back = waypoints
    .slice(0, -1)
    .map((waypoint, i) => ({ ...waypoint, leg: waypoints[i + 1].leg }))
  return {
    ...route,
    waypoints: [...waypoints, ...back.reverse()],
    endsAtLaunch: true,
    homeLeg: waypoints[0].leg,
  }
}

/** The route closed by a leg straight back over the launch point. */
export function loop(route: Route): Route {
  return { ...route, endsAtLaunch: route.waypoints.length > 0 }
}

/** The same waypoints the other way around. */
export function reversed(route: Route): Route {
  const { waypoints, homeLeg } = route
  const legs = [...waypoints.map(({ leg }) => leg), homeLeg]
  return {
    ...route,
    waypoints: waypoints.map((waypoint, i) => ({ ...waypoint, leg: legs[i + 1] })).reverse(),
    homeLeg: legs[0],
  }
}
