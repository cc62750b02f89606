import { PilotError } from '../errors'
import { isOnEarth } from '../exchange/features'
import { geodesic } from '../geodesy/geodesic'
import { say } from '../words/say'
import { formatNumber } from '../words/units'

/** What heights of a log are over: the level of the sea, or the place where it starts. */
export const LOG_HEIGHTS = ['sea', 'start'] as const
export type LogHeight = (typeof LOG_HEIGHTS)[number]

/**
 * A flight as it was recorded: parallel arrays, one entry a moment, times rising. NaN stands for
 * what was not recorded.
 */
export interface FlightLog {
  /** Since its first entry, seconds. */
  readonly timeS: Float64Array
  readonly latDeg: Float64Array
  readonly lonDeg: Float64Array
  readonly heightM: Float64Array
  readonly heightOver: LogHeight
  /** Level at the receiver, dBm. */
  readonly signalDbm: Float64Array
  /** True where the level was worked out of percent. */
  readonly isSignalScaled: boolean
  readonly takenMah: Float64Array
  readonly volts: Float64Array
  readonly amps: Float64Array
  /** When it began, milliseconds since 1970; null where the file does not say the day. */
  readonly startedAtMs: number | null
}

/** The series of a log besides its times. */
export const LOG_SERIES = [
  'latDeg',
  'lonDeg',
  'heightM',
  'signalDbm',
  'takenMah',
  'volts',
  'amps',
] as const
export type LogSeries = (typeof LOG_SERIES)[number]

/** One moment as a file has it, before anything is checked. */
export type LogEntry = Readonly<Record<LogSeries | 'timeS', number>>

/** A log of more entries is thinned: nothing is gained from more. */
export const MOST_ENTRIES = 12_000
/** More moments than this are no flight. */
export const MOST_MOMENTS = 1_000_000
/** A pause longer than this ends a flight, seconds. */
const PAUSE_S = 120
/** Times that go back by no more than this are jitter, seconds. */
const JITTER_S = 2
/** A flight of fewer entries tells nothing. */
const FEWEST_ENTRIES = 10
/** A file of more pieces, or with more such jitter, has no times that rise. */
const MOST_FLIGHTS = 50
const MOST_SLIPS = 0.1

const NAMES = ['timeS', ...LOG_SERIES] as const

/** Gathers the moments of a file, one after the other, in little memory. */
export class LogGatherer {
  private readonly series = new Map<LogSeries | 'timeS', Float64Array>(
    NAMES.map((name) => [name, new Float64Array(4096)]),
  )
  private room = 4096
  private count = 0

  /** Throws a PilotError for more moments than a flight has. */
  add(entry: LogEntry, fileName: string): void {
    if (this.count === MOST_MOMENTS) {
      throw new PilotError(say('flightLog.holdsMoreThanMillion', { fileName }))
    }
    if (this.count === this.room) this.grow()
    for (const [name, values] of this.series) values[this.count] = entry[name]
    this.count++
  }

  private grow(): void {
    this.room *= 2
    for (const [name, values] of this.series) {
      const longer = new Float64Array(this.room)
      longer.set(values)
      this.series.set(name, longer)
    }
  }

  /** All gathered of one series. */
  of(name: LogSeries | 'timeS'): Float64Array {
    return (this.series.get(name) ?? new Float64Array(0)).subarray(0, this.count)
  }
}

/** Flights of a file, and sentences on what was left out of it. */
export interface LogFile {
  readonly flights: readonly FlightLog[]
  readonly remarks: readonly string[]
}

/**
 * Makes flights of what was gathered: a new one begins after a pause and where the times begin
 * again. Moments without a time or a position on Earth are left out.
 * Throws a PilotError where nothing is left, or where the times do not rise.
 */
export function flightsOf(
  gathered: LogGatherer,
  about: Pick<FlightLog, 'heightOver' | 'isSignalScaled'>,
  /** True where times are seconds since 1970. */
  hasDay: boolean,
  fileName: string,
): LogFile {
  const time = gathered.of('timeS')
  const [lat, lon] = [gathered.of('latDeg'), gathered.of('lonDeg')]
  let [noTime, noPlace, jitter, slips, backwards] = [0, 0, 0, 0, 0]
  const runs: number[][] = []
  let run: number[] = []
  for (let i = 0; i < time.length; i++) {
    if (Number.isNaN(time[i])) {
      noTime++
      continue
    }
    // Before they know where they are, receivers say 0, 0.
    const isNowhere = Math.abs(lat[i]) < 1e-6 && Math.abs(lon[i]) < 1e-6
    if (isNowhere || !isOnEarth({ latDeg: lat[i], lonDeg: lon[i] })) {
      noPlace++
      continue
    }
    const step = run.length === 0 ? 1 : time[i] - time[run[run.length - 1]]
    if (step <= 0 && step >= -JITTER_S) {
      jitter++
      if (step < 0) slips++
      continue
    }
    if (step < 0) backwards++
    if (step < 0 || step > PAUSE_S) {
      runs.push(run)
      run = []
    }
    run.push(i)
  }
  runs.push(run)
  if (backwards > MOST_FLIGHTS || slips > MOST_SLIPS * time.length) {
    throw new PilotError(
      say('flightLog.timesGoBackwardsTimes', {
        fileName,
        backwards: formatNumber(backwards + slips, 0),
      }),
    )
  }
  const whole = runs.filter((its) => its.length >= FEWEST_ENTRIES)
  if (whole.length === 0) {
    throw new PilotError(
      say('flightLog.holdsNoFlightMoments', { fileName, noTime, time: time.length, noPlace }),
    )
  }
  const short = runs.filter((its) => its.length > 0).length - whole.length
  const flights = whole.map((its): FlightLog => {
    const kept = thinned(its)
    const [first] = kept
    const take = (name: LogSeries) => {
      const values = gathered.of(name)
      return Float64Array.from(kept, (i) => values[i])
    }
    return {
      ...about,
      timeS: Float64Array.from(kept, (i) => time[i] - time[first]),
      latDeg: take('latDeg'),
      lonDeg: take('lonDeg'),
      heightM: take('heightM'),
      signalDbm: take('signalDbm'),
      takenMah: take('takenMah'),
      volts: take('volts'),
      amps: take('amps'),
      startedAtMs: hasDay ? time[first] * 1000 : null,
    }
  })
  const thinnedFlights = flights.filter((_, i) => whole[i].length > MOST_ENTRIES).length
  const where = (count: number, remark: string) => (count > 0 ? [remark] : [])
  return {
    flights,
    remarks: [
      ...where(noTime, say('flightLog.momentsWithoutTimeLeft', { noTime })),
      ...where(noPlace, say('flightLog.momentsWithoutPositionLeft', { noPlace })),
      ...where(jitter, say('flightLog.momentsNoLaterThan', { jitter })),
      ...where(
        backwards,
        say('flightLog.timesClockGoesBack', { backwards: formatNumber(backwards, 0) }),
      ),
      ...where(short, say('flightLog.piecesTooShortFlight', { short })),
      ...where(
        thinnedFlights,
        say('flightLog.flightsThinnedMoments', {
          thinnedFlights,
          most: formatNumber(MOST_ENTRIES, 0),
        }),
      ),
    ],
  }
}

/** Every so manieth, where there are too many. */
function thinned(entries: readonly number[]): readonly number[] {
  if (entries.length <= MOST_ENTRIES) return entries
  const stride = entries.length / MOST_ENTRIES
  return Array.from({ length: MOST_ENTRIES }, (_, i) => entries[Math.floor(i * stride)])
}

/** Slower than this an aircraft stands, m/s. */
export const REST_MS = 1

/** True where a flight begins at rest, so that its first height is that of the ground. */
export function beginsAtRest(log: FlightLog): boolean {
  const { speedMs, climbMs } = motionOf(log)
  const first = speedMs.findIndex((speed) => !Number.isNaN(speed))
  return first >= 0 && speedMs[first] < REST_MS && !(Math.abs(climbMs[first]) > REST_MS)
}

/** Seconds on each side over which speeds are taken. */
const SPEED_REACH_S = 2

/** How an aircraft moved at every entry of a log; NaN where its neighbours do not say. */
export interface Motion {
  /** Over ground. */
  readonly speedMs: Float64Array
  readonly trackDeg: Float64Array
  readonly climbMs: Float64Array
}

/** Speed, track and climb along a log, each between the entries some seconds before and after. */
export function motionOf({ timeS, latDeg, lonDeg, heightM }: FlightLog): Motion {
  const count = timeS.length
  const nothing = () => new Float64Array(count).fill(NaN)
  const [speedMs, trackDeg, climbMs] = [nothing(), nothing(), nothing()]
  let [before, after] = [0, 0]
  for (let i = 0; i < count; i++) {
    while (timeS[before + 1] <= timeS[i] - SPEED_REACH_S) before++
    while (after < count - 1 && timeS[after] < timeS[i] + SPEED_REACH_S) after++
    const seconds = timeS[after] - timeS[before]
    // Across a gap nothing is known, and at the ends little.
    if (!(seconds > SPEED_REACH_S / 2 && seconds < 8 * SPEED_REACH_S)) continue
    const at = (k: number) => ({ latDeg: latDeg[k], lonDeg: lonDeg[k] })
    const { distanceM, bearingDeg } = geodesic(at(before), at(after))
    speedMs[i] = distanceM / seconds
    trackDeg[i] = bearingDeg
    climbMs[i] = (heightM[after] - heightM[before]) / seconds
  }
  return { speedMs, trackDeg, climbMs }
}
