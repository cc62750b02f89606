import { PilotError } from '../errors'
import type { Turns } from '../energy/turns'
import { verdictOn, type VerdictKind } from '../words/routeWords'
import { lengthOf } from '../route/corridor'
import type { Site } from '../surface/site'
import type { Plan } from './plan'
import { launchOf, reckon, type Reckoning } from './reckoning'

/** What decides between plans on one site. */
export interface PlanFigures {
  readonly launchGroundM: number
  /** What follows from the route; null where the plan has none. */
  readonly route: RouteFigures | null
}

export interface RouteFigures {
  /** What the flight ends like, and how grave that is. */
  readonly verdict: readonly [kind: VerdictKind, words: string]
  readonly turns: Pick<Turns, 'retraced' | 'straight'>
  readonly distanceM: number
  /** At the end, landed where it ends at home; NaN where it cannot be flown. */
  readonly timeS: number
  readonly takenMah: number
  /** Up over all legs, metres, and the highest flown, above sea level. */
  readonly climbM: number
  readonly highestM: number
  /** Least margins along the route as far as they are known, dB; NaN where none is. */
  readonly leastVideoDb: number
  readonly leastControlDb: number
  /** Share of the route with the wanted margin of both links. */
  readonly goodShare: number
  /** Length along which nothing is known of the signal, metres. */
  readonly unknownM: number
  /** Lengths along which something is wrong, metres. */
  readonly noHeightM: number
  readonly underFloorM: number
  readonly noLandingM: number
}

/** The figures of a plan, or why it has none on this site. */
export function planFigures(site: Site, plan: Plan): PlanFigures | string {
  try {
    const { groundM } = launchOf(site, plan)
    const hasRoute = plan.route.waypoints.length > 0
    return { launchGroundM: groundM, route: hasRoute ? routeFigures(reckon(site, plan)) : null }
  } catch (error) {
    if (error instanceof PilotError) return error.message
    throw error
  }
}

function routeFigures({ line, air, flight, flyer, turns, conflicts }: Reckoning): RouteFigures {
  const last = line.distanceM.length - 1
  const end = flight.landed ?? { timeS: flight.timeS[last], takenMah: flight.takenMah[last] }
  const refusal = flight.legs.find((leg) => typeof leg === 'string')
  let [climbM, highestM, goodM, unknownM] = [0, -Infinity, 0, 0]
  for (let i = 0; i <= last; i++) {
    highestM = Math.max(highestM, line.flownM[i])
    if (i === 0) continue
    climbM += Math.max(0, line.flownM[i] - line.flownM[i - 1])
    const lengthM = line.distanceM[i] - line.distanceM[i - 1]
    if (Number.isNaN(air.shortDb[i])) unknownM += lengthM
    else if (air.shortDb[i] <= 0) goodM += lengthM
  }
  return {
    verdict: refusal ? ['blocked', refusal] : verdictOn({ flight, flyer, turns }, end.takenMah),
    turns: { retraced: turns.retraced, straight: turns.straight },
    distanceM: line.distanceM[last],
    ...end,
    climbM,
    highestM,
    leastVideoDb: least(air.videoDb),
    leastControlDb: least(air.controlDb),
    goodShare: goodM / line.distanceM[last],
    unknownM,
    noHeightM: lengthOf(conflicts, 'no-height'),
    underFloorM: lengthOf(conflicts, 'under-floor'),
    noLandingM: lengthOf(conflicts, 'no-landing'),
  }
}

function least(values: Float64Array): number {
  return values.reduce(
    (lowest, value) => (value < lowest || Number.isNaN(lowest) ? value : lowest),
    NaN,
  )
}
