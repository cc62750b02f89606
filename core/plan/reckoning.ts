import { divertAt } from '../energy/divert'
import { Flyer, flyRoute, type Flight } from '../energy/flight'
import { turnsOf, type Turns } from '../energy/turns'
import { resolveEnd, type ResolvedEnd } from '../propagation/path'
import { AirColumns } from '../route/airColumns'
import { airAlong, conflictsOf, type Conflict, type RouteAir } from '../route/corridor'
import { routeLine, type RouteLine } from '../route/routeLine'
import type { Site } from '../surface/site'
import { say } from '../words/say'
import type { Plan } from './plan'

/** What follows from a plan's route: its line, the air over it, the flight along it. */
export interface Reckoning {
  readonly launch: ResolvedEnd
  readonly line: RouteLine
  readonly air: RouteAir
  readonly flyer: Flyer
  readonly flight: Flight
  readonly turns: Turns
  readonly conflicts: readonly Conflict[]
}

/** The ground antenna of a plan, on its terrain. Throws a PilotError where it stands on none. */
export function launchOf({ terrain, locator }: Site, plan: Plan): ResolvedEnd {
  const end = {
    ...plan.launch,
    label: say('common.launchPointInText'),
    heightM: plan.antennaHeightM,
  }
  return resolveEnd(terrain, locator, end)
}

/**
 * Works out the route of a plan, which must have waypoints. Throws a PilotError that names what
 * cannot be: a place off the terrain, a value of the aircraft.
 */
export function reckon(site: Site, plan: Plan): Reckoning {
  const { terrain, locator, surface } = site
  const launch = launchOf(site, plan)
  const line = routeLine(terrain, locator, surface, plan.launch, plan.route)
  const seen = { ...surface, clearingM: plan.clearingM }
  const links = [plan.video, plan.control]
  const air = airAlong(new AirColumns(terrain, locator, seen, launch, plan.radio, links), line)
  const flyer = new Flyer(plan)
  const flight = flyRoute(flyer, line)
  const places = plan.landing.accepted.map(({ at }) => at)
  const turns = turnsOf(site, flyer, line, flight, plan.limits.clearanceM, places)
  const hasLanding =
    places.length > 0 ? (sample: number) => divertAt(turns.diverts, sample) !== null : null
  const conflicts = conflictsOf(line, air, plan.limits, hasLanding)
  return { launch, line, air, flyer, flight, turns, conflicts }
}
