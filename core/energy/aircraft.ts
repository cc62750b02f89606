import { checkWithin, PilotError } from '../errors'
import { say } from '../words/say'
import { monotoneCurve } from './monotoneCurve'

/** Standard gravity, m/s^2 (ISO 80000-3). */
export const GRAVITY = 9.80665
/** Voltage of a cell at which the currents of an aircraft are given. */
export const NOMINAL_CELL_V = 3.7

/** A level flight that somebody has measured. */
export interface CruisePoint {
  readonly airspeedMs: number
  readonly currentA: number
}

/** What an aircraft draws. Currents are at the nominal voltage of its pack, see NOMINAL_CELL_V. */
export interface Aircraft {
  readonly name: string
  readonly massKg: number
  readonly hoverCurrentA: number
  /** Height above sea level at which the currents were measured, metres. */
  readonly measuredAtM: number
  /** At one or several airspeeds, slowest first. */
  readonly cruise: readonly CruisePoint[]
  /** Share of the electric energy of a climb that becomes height. */
  readonly climbEfficiency: number
  readonly climbMs: number
  readonly descentMs: number
  /**
   * Scatter of measured currents around these, as a share of them (one standard deviation); null
   * where they were never compared with a flight.
   */
  readonly currentSpreadShare: number | null
}

/** Typical of a light long-range quadcopter. Common practice, no source: 12 to 13 A at 40 km/h. */
export const TYPICAL_AIRCRAFT: Aircraft = {
  name: 'Light quadcopter, 4 cells (typical)',
  massKg: 0.9,
  hoverCurrentA: 9.5,
  measuredAtM: 500,
  cruise: [
    { airspeedMs: 8, currentA: 10.2 },
    { airspeedMs: 11.1, currentA: 12.5 },
    { airspeedMs: 15, currentA: 19 },
  ],
  climbEfficiency: 0.45,
  climbMs: 4,
  descentMs: 3,
  currentSpreadShare: null,
}

/**
 * Density of the standard atmosphere over that at sea level. Source: ISO 2533 (troposphere):
 * (1 - 2.25577e-5 h)^4.2559.
 */
export function airDensityRatio(amslM: number): number {
  return (1 - 2.25577e-5 * amslM) ** 4.2559
}

/** Electric power of an aircraft with a pack of so many cells. */
export class PowerModel {
  readonly slowestMs: number
  readonly fastestMs: number
  private readonly curve: (airspeedMs: number) => number

  /** Throws a PilotError that names the first value that cannot be. */
  constructor(
    private readonly aircraft: Aircraft,
    cells: number,
  ) {
    checkAircraft(aircraft)
    const { cruise, hoverCurrentA } = aircraft
    const volts = cells * NOMINAL_CELL_V
    this.slowestMs = cruise[0].airspeedMs
    this.fastestMs = cruise[cruise.length - 1].airspeedMs
    this.curve = monotoneCurve(
      [0, ...cruise.map(({ airspeedMs }) => airspeedMs)],
      [hoverCurrentA, ...cruise.map(({ currentA }) => currentA)].map((amperes) => amperes * volts),
    )
  }

  /**
   * Of level flight, watts; 0 m/s is the hover. NaN faster than any flight measured. Thin air asks
   * for more: the power of a hovering rotor goes with one over the root of the density, and that
   * of fast flight, which grows less, is taken to do the same.
   * @param amslM height above sea level
   */
  levelW(airspeedMs: number, amslM: number): number {
    if (!(airspeedMs <= this.fastestMs + 1e-9)) return NaN
    const thinner = airDensityRatio(this.aircraft.measuredAtM) / airDensityRatio(amslM)
    return this.curve(airspeedMs) * Math.sqrt(thinner)
  }

  /** Energy that so many metres of climb cost besides level flight, joules. Down gives nothing. */
  climbJ(climbM: number): number {
    const { massKg, climbEfficiency } = this.aircraft
    return climbM > 0 ? (massKg * GRAVITY * climbM) / climbEfficiency : 0
  }
}

/** Values an aircraft may have. Outside them something was mistyped. */
export const AIRCRAFT_LIMITS = {
  massKg: [0.05, 50],
  currentA: [0.1, 500],
  measuredAtM: [-400, 6000],
  airspeedMs: [0.5, 80],
  climbEfficiency: [0.05, 1],
  verticalMs: [0.2, 30],
  spreadShare: [0, 1],
} as const

function checkAircraft(aircraft: Aircraft): void {
  const { massKg, hoverCurrentA, cruise, climbEfficiency, climbMs, descentMs } = aircraft
  checkWithin({ key: 'aircraft.massAircraft' }, massKg, AIRCRAFT_LIMITS.massKg, 'kg')
  checkWithin({ key: 'aircraft.hoverCurrent' }, hoverCurrentA, AIRCRAFT_LIMITS.currentA, 'A')
  checkWithin(
    { key: 'aircraft.heightMeasurement' },
    aircraft.measuredAtM,
    AIRCRAFT_LIMITS.measuredAtM,
    'm',
  )
  checkWithin(
    { key: 'aircraft.climbEfficiency' },
    climbEfficiency,
    AIRCRAFT_LIMITS.climbEfficiency,
    '',
  )
  checkWithin({ key: 'aircraft.speedClimb' }, climbMs, AIRCRAFT_LIMITS.verticalMs, 'm/s')
  checkWithin({ key: 'aircraft.speedDescent' }, descentMs, AIRCRAFT_LIMITS.verticalMs, 'm/s')
  if (cruise.length === 0) {
    throw new PilotError(say('aircraft.aircraftNeedsCurrentOne'))
  }
  cruise.forEach(({ airspeedMs, currentA }, i) => {
    checkWithin({ key: 'aircraft.airspeedLimit' }, airspeedMs, AIRCRAFT_LIMITS.airspeedMs, 'm/s')
    checkWithin(
      { key: 'aircraft.currentMS', values: { airspeedMs } },
      currentA,
      AIRCRAFT_LIMITS.currentA,
      'A',
    )
    if (i > 0 && airspeedMs <= cruise[i - 1].airspeedMs) {
      throw new PilotError(
        say('aircraft.airspeedsAircraftMustRise', {
          airspeedMs,
          airspeedMs2: cruise[i - 1].airspeedMs,
        }),
      )
    }
  })
}
