import { waypointName, type Route } from '../../core/route/route'
import type { LandingSetup } from '../../core/landing/landingArea'
import type { Setup } from './setup'

/** What changes of single parts are called. */
const NAMES: Partial<Record<keyof Setup, string>> = {
  launch: 'move the launch point',
  antennaHeightM: 'antenna height',
  flyingHeightM: 'flying height',
  radio: 'radio path',
  radiusM: 'radius',
  sector: 'sector',
  errorM: 'terrain error',
  video: 'video link',
  control: 'control link',
  foliage: 'foliage in budgets',
  nearby: 'own transmitter',
  vegetation: 'vegetation',
  clearingM: 'clearing',
  limits: 'route limits',
  aircraft: 'aircraft',
  battery: 'battery',
  wind: 'wind',
  airspeedMs: 'airspeed',
  brief: 'field brief',
  places: 'places kept',
  reading: 'readings along a line or area',
}
/** So many parts at once come from a file. */
const FROM_FILE = 5

/** What the step from one setup to the next is called, to be read behind "Undo:". */
export function stepName(before: Setup, after: Setup): string {
  const changed = (Object.keys({ ...before, ...after }) as (keyof Setup)[]).filter(
    (key) => before[key] !== after[key],
  )
  if (changed.length >= FROM_FILE) return 'open a plan'
  if (changed.includes('route')) return routeStep(before.route, after.route)
  if (changed.includes('landing')) return landingStep(before.landing, after.landing)
  if (changed.includes('obstacles')) {
    return listStep(before.obstacles, after.obstacles, 'an obstacle', 'obstacles')
  }
  if (changed.includes('target')) {
    if (!after.target) return 'remove the target'
    return before.target ? 'move the target' : 'set the target'
  }
  const named = changed.map((key) => NAMES[key]).find((name) => name !== undefined)
  return named ?? 'change'
}

/** @param one with its article, @param many without */
function listStep(
  before: readonly unknown[],
  after: readonly unknown[],
  one: string,
  many: string,
): string {
  const difference = after.length - before.length
  if (difference === 0) return `change ${one}`
  const what = Math.abs(difference) === 1 ? one : `${Math.abs(difference)} ${many}`
  return `${difference > 0 ? 'add' : 'remove'} ${what}`
}

function routeStep(before: Route, after: Route): string {
  const difference = after.waypoints.length - before.waypoints.length
  if (before.waypoints.length === 0) return 'draw the route'
  if (after.waypoints.length === 0) return 'clear the route'
  if (difference !== 0)
    return listStep(before.waypoints, after.waypoints, 'a waypoint', 'waypoints')
  const changed = after.waypoints.flatMap((waypoint, i) =>
    waypoint === before.waypoints[i] ? [] : [i],
  )
  if (changed.length !== 1) return changed.length === 0 ? 'route' : 'change the route'
  const [index] = changed
  const [one, other] = [before.waypoints[index], after.waypoints[index]]
  const isMoved = one.latDeg !== other.latDeg || one.lonDeg !== other.lonDeg
  return `${isMoved ? 'move' : 'change'} ${waypointName(after, index)}`
}

function landingStep(before: LandingSetup, after: LandingSetup): string {
  if (before.accepted !== after.accepted) {
    return listStep(before.accepted, after.accepted, 'a landing area', 'landing areas')
  }
  if (before.excluded !== after.excluded) {
    return listStep(
      before.excluded,
      after.excluded,
      'ground kept out of',
      'pieces of ground kept out of',
    )
  }
  return before.roadHead === after.roadHead ? 'landing settings' : 'road head'
}
