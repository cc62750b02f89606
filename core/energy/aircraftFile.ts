import { z } from 'zod'
import { AIRCRAFT_LIMITS, type Aircraft } from './aircraft'

const within = ([least, most]: readonly [number, number]) => z.number().min(least).max(most)

/** An aircraft as it stands in a plan. */
export const aircraftSchema = z.object({
  name: z.string(),
  mass_kg: within(AIRCRAFT_LIMITS.massKg),
  hover_current_a: within(AIRCRAFT_LIMITS.currentA),
  measured_at_m: within(AIRCRAFT_LIMITS.measuredAtM),
  cruise: z
    .array(
      z.object({
        airspeed_ms: within(AIRCRAFT_LIMITS.airspeedMs),
        current_a: within(AIRCRAFT_LIMITS.currentA),
      }),
    )
    .min(1),
  climb_efficiency: within(AIRCRAFT_LIMITS.climbEfficiency),
  climb_ms: within(AIRCRAFT_LIMITS.verticalMs),
  descent_ms: within(AIRCRAFT_LIMITS.verticalMs),
  current_spread_share: within(AIRCRAFT_LIMITS.spreadShare).nullable(),
})

export type AircraftFile = z.output<typeof aircraftSchema>

export function aircraftFile(aircraft: Aircraft): AircraftFile {
  return {
    name: aircraft.name,
    mass_kg: aircraft.massKg,
    hover_current_a: aircraft.hoverCurrentA,
    measured_at_m: aircraft.measuredAtM,
    cruise: aircraft.cruise.map(({ airspeedMs, currentA }) => ({
      airspeed_ms: airspeedMs,
      current_a: currentA,
    })),
    climb_efficiency: aircraft.climbEfficiency,
    climb_ms: aircraft.climbMs,
    descent_ms: aircraft.descentMs,
    current_spread_share: aircraft.currentSpreadShare,
  }
}

export function aircraftOf(file: AircraftFile): Aircraft {
  return {
    name: file.name,
    massKg: file.mass_kg,
    hoverCurrentA: file.hover_current_a,
    measuredAtM: file.measured_at_m,
    cruise: file.cruise.map(({ airspeed_ms, current_a }) => ({
      airspeedMs: airspeed_ms,
      currentA: current_a,
    })),
    climbEfficiency: file.climb_efficiency,
    climbMs: file.climb_ms,
    descentMs: file.descent_ms,
    currentSpreadShare: file.current_spread_share,
  }
}
