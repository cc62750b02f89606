import { signal } from '@preact/signals'
import { TYPICAL_AIRCRAFT, type Aircraft } from '../../core/energy/aircraft'
import { aircraftFile, aircraftOf, aircraftSchema } from '../../core/energy/aircraftFile'
import { keep } from './kept'

/** The pilot's own aircraft, by the names they gave them. */
export const ownAircraft = signal<readonly Aircraft[]>([])
keep(
  'aircraft',
  ownAircraft,
  (json) => (Array.isArray(json) ? json.flatMap(readOrNone) : []),
  (all) => all.map(aircraftFile),
)

/** Aircraft to begin with. */
export function aircraftPresets(): readonly Aircraft[] {
  return [TYPICAL_AIRCRAFT, ...ownAircraft.value]
}

/** Keeps an aircraft under its name; one of the same name makes way. */
export function keepAircraft(aircraft: Aircraft): void {
  forgetAircraft(aircraft.name)
  ownAircraft.value = [...ownAircraft.value, aircraft]
}

export function forgetAircraft(name: string): void {
  ownAircraft.value = ownAircraft.value.filter((other) => other.name !== name)
}

/** A kept aircraft, or none where this version cannot read it. */
function readOrNone(json: unknown): readonly Aircraft[] {
  const parsed = aircraftSchema.safeParse(json)
  return parsed.success ? [aircraftOf(parsed.data)] : []
}
