import { effect, signal } from '@preact/signals'
import type { Flight, Flyer } from '../../core/energy/flight'
import type { Turns } from '../../core/energy/turns'
import type { Conflict, RouteAir } from '../../core/route/corridor'
import type { RouteLine } from '../../core/route/routeLine'
import { conflicts, flight, flownLine, flyer, LATER_MS, routeAir, turns } from './route'

/** Everything said about the route beside its chart. */
export interface RouteFigures {
  readonly line: RouteLine
  readonly air: RouteAir | null
  readonly conflicts: readonly Conflict[]
  readonly flyer: Flyer | string
  readonly flight: Flight | null
  readonly turns: Turns | null
}

/** The newest figures, a moment after the line: map and chart follow the hand first. */
export const routeFigures = signal<RouteFigures | null>(null)

let timer: ReturnType<typeof setTimeout> | undefined

function gather(): RouteFigures | null {
  const line = flownLine.peek()
  return (
    line && {
      line,
      air: routeAir.peek(),
      conflicts: conflicts.peek(),
      flyer: flyer.peek(),
      flight: flight.peek(),
      turns: turns.peek(),
    }
  )
}

effect(() => {
  // All of it follows from these.
  void [flownLine.value, routeAir.value, conflicts.value, flyer.value, turns.value]
  timer ??= setTimeout(() => {
    timer = undefined
    routeFigures.value = gather()
  }, LATER_MS)
})
