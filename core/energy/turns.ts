import type { LatLon } from '../geodesy/earth'
import type { RouteLine } from '../route/routeLine'
import type { Site } from '../surface/site'
import { divertsAlong, landingsOn, type Diverts } from './divert'
import type { Flight, Flyer } from './flight'
import { WaysHome, type TurnPoint } from './wayHome'

/** Where a flight must turn at the latest, and where it can land on the way. */
export interface Turns {
  /** By the way back over the same ground; null where home is never in reach. */
  readonly retraced: TurnPoint | null
  readonly straight: TurnPoint | null
  /** Landing areas in reach along the route. */
  readonly diverts: Diverts
}

/**
 * Turning points of a flight.
 * @param clearanceM least height over everything on a straight way
 * @param places landing areas of the plan
 */
export function turnsOf(
  { terrain, locator, surface }: Site,
  flyer: Flyer,
  line: RouteLine,
  flight: Flight,
  clearanceM: number,
  places: readonly LatLon[],
): Turns {
  const ways = new WaysHome(terrain, locator, surface, flyer, line, flight, clearanceM)
  const landings = landingsOn(places, terrain, locator)
  return {
    retraced: ways.turnRetraced(),
    straight: ways.turnStraight(),
    diverts: divertsAlong(ways, flyer, line.distanceM.length, landings),
  }
}
