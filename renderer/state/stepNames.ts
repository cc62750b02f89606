import { waypointName, type Route } from '../../core/route/route'
import type { LandingSetup } from '../../core/landing/landingArea'
import { say, type TextKey } from '../../core/words/say'
import type { Setup } from './setup'

/** What changes of single parts are called. */
const NAMES: Partial<Record<keyof Setup, TextKey>> = {
  launch: 'stepNames.moveLaunchPoint',
  antennaHeightM: 'stepNames.antennaHeight',
  flyingHeightM: 'common.flyingHeightInText',
  radio: 'stepNames.radioPath',
  radiusM: 'stepNames.radius',
  sector: 'stepNames.sector',
  errorM: 'stepNames.terrainError',
  video: 'common.videoLink',
  control: 'common.controlLink',
  foliage: 'stepNames.foliageBudgets',
  nearby: 'stepNames.ownTransmitter',
  vegetation: 'stepNames.vegetation',
  clearingM: 'stepNames.clearing',
  limits: 'stepNames.routeLimits',
  aircraft: 'stepNames.aircraft',
  battery: 'stepNames.battery',
  wind: 'stepNames.wind',
  airspeedMs: 'stepNames.airspeed',
  brief: 'stepNames.fieldBrief',
  places: 'stepNames.placesKept',
  reading: 'stepNames.readingsAlongLineArea',
}
/** So many parts at once come from a file. */
const FROM_FILE = 5

/** What the step from one setup to the next is called, to be read behind "Undo:". */
export function stepName(before: Setup, after: Setup): string {
  const changed = (Object.keys({ ...before, ...after }) as (keyof Setup)[]).filter(
    (key) => before[key] !== after[key],
  )
  if (changed.length >= FROM_FILE) return say('stepNames.openPlan')
  if (changed.includes('route')) return routeStep(before.route, after.route)
  if (changed.includes('landing')) return landingStep(before.landing, after.landing)
  if (changed.includes('obstacles')) {
    return listStep(before.obstacles, after.obstacles, 'stepNames.obstacles')
  }
  if (changed.includes('target')) {
    if (!after.target) return say('stepNames.removeTarget')
    return before.target ? say('stepNames.moveTarget') : say('stepNames.setTarget')
  }
  const named = changed.map((key) => NAMES[key]).find((name) => name !== undefined)
  return say(named ?? 'stepNames.change')
}

/** What a list grew or shrank by. */
function listStep(before: readonly unknown[], after: readonly unknown[], key: TextKey): string {
  const difference = after.length - before.length
  const change = difference === 0 ? 'change' : difference > 0 ? 'add' : 'remove'
  return say(key, { change, count: Math.abs(difference) || 1 })
}

function routeStep(before: Route, after: Route): string {
  const difference = after.waypoints.length - before.waypoints.length
  if (before.waypoints.length === 0) return say('stepNames.drawRoute')
  if (after.waypoints.length === 0) return say('stepNames.clearRoute')
  if (difference !== 0) return listStep(before.waypoints, after.waypoints, 'stepNames.waypoints')
  const changed = after.waypoints.flatMap((waypoint, i) =>
    waypoint === before.waypoints[i] ? [] : [i],
  )
  if (changed.length !== 1)
    return changed.length === 0 ? say('stepNames.route') : say('stepNames.changeRoute')
  const [index] = changed
  const [one, other] = [before.waypoints[index], after.waypoints[index]]
  const isMoved = one.latDeg !== other.latDeg || one.lonDeg !== other.lonDeg
  return say('stepNames.waypoint', {
    change: isMoved ? 'move' : 'change',
    name: waypointName(after, index),
  })
}

function landingStep(before: LandingSetup, after: LandingSetup): string {
  if (before.accepted !== after.accepted) {
    return listStep(before.accepted, after.accepted, 'stepNames.landingAreas')
  }
  if (before.excluded !== after.excluded) {
    return listStep(before.excluded, after.excluded, 'stepNames.keptOut')
  }
  return before.roadHead === after.roadHead
    ? say('stepNames.landingSettings')
    : say('common.roadHeadInText')
}
