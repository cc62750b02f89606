import { signal } from '@preact/signals'
import { TYPICAL_AIRCRAFT, type Aircraft } from '../../core/energy/aircraft'
import { aircraftFile, aircraftOf, aircraftSchema } from '../../core/energy/aircraftFile'
import { keepList } from './kept'

/** The pilot's own aircraft, by the names they gave them. */
export const ownAircraft = signal<readonly Aircraft[]>([])
keepList('aircraft', ownAircraft, (json) => aircraftOf(aircraftSchema.parse(json)), aircraftFile)

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
