import { expose } from 'comlink'
import { PilotError } from '../../core/errors'
import { chargeAlong, fitCurrent, type CurrentFit } from '../../core/log/currentFit'
import { beginsAtRest, type FlightLog, type LogFile } from '../../core/log/flightLog'
import { readGpxLog } from '../../core/log/logGpx'
import {
  guessMapping,
  LINES_SHOWN,
  readLog,
  readLogTable,
  type LogMapping,
} from '../../core/log/logTable'
import { predictAlong, type LinkRole, type Predicted } from '../../core/log/predicted'
import {
  compareByKind,
  fitSignal,
  type KindComparison,
  type SignalFit,
} from '../../core/log/signalFit'
import type { Plan } from '../../core/plan/plan'
import type { Surface } from '../../core/surface/surface'
import type { Site } from '../../core/surface/site'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { errorsAsData, type Outcome } from './outcome'

/** A table before its columns are agreed upon. */
export interface OpenedTable {
  readonly heads: readonly string[]
  readonly rows: readonly (readonly string[])[]
  readonly lines: number
  readonly guess: LogMapping
}

/** A flight of a file, in figures. */
export interface FlightSummary {
  readonly startedAtMs: number | null
  readonly durationS: number
  readonly entries: number
  /** Least and most that was recorded; null for nothing. */
  readonly signalDbm: readonly [number, number] | null
  readonly heightM: readonly [number, number] | null
  readonly usedMah: number | null
  readonly beginsAtRest: boolean
}

export interface ReadFlights {
  readonly flights: readonly FlightSummary[]
  readonly remarks: readonly string[]
}

/** A flight beside what was predicted for it. */
export interface Comparison {
  readonly log: FlightLog
  readonly predicted: Predicted
  readonly kinds: readonly KindComparison[]
  /** Fits, or why there are none. */
  readonly signal: SignalFit | string
  readonly current: CurrentFit | string
  /** Charge taken until every entry, mAh; NaN where it is not known. */
  readonly chargeMah: Float64Array
}

let site: Site | null = null
let opened: { readonly text: string; readonly name: string } | null = null
let read: LogFile | null = null
let taken: FlightLog | null = null
/** The newest prediction, and what it was made for. */
let last: { readonly key: string; readonly of: FlightLog; readonly predicted: Predicted } | null =
  null

function orSentence<T>(run: () => T): T | string {
  try {
    return run()
  } catch (error) {
    if (error instanceof PilotError) return error.message
    throw error
  }
}

const api = {
  setSite(terrain: TerrainGrid, surface: Surface): void {
    site = { terrain, surface, locator: new GridLocator(terrain) }
    last = null
  },

  /** Looks at a file: a table whose columns must be agreed upon, or a track that is read at once. */
  open(text: string, name: string): Promise<Outcome<OpenedTable | null>> {
    return errorsAsData(async () => {
      opened = { text, name }
      read = null
      if (/^\s*</.test(text)) {
        read = readGpxLog(text, name)
        return null
      }
      const table = readLogTable(text, name)
      const { heads, sample, lines } = table
      return { heads, lines, rows: sample.slice(0, LINES_SHOWN), guess: guessMapping(table) }
    })
  },

  /** The flights of the file that is open; by a mapping where it is a table. */
  read(mapping: LogMapping | null): Promise<Outcome<ReadFlights>> {
    return errorsAsData(async () => {
      if (!opened) throw new Error('a log was read before it was opened')
      if (mapping) read = readLog(opened.text, opened.name, mapping)
      if (!read) throw new Error('a table was read without a mapping')
      return { flights: read.flights.map(summaryOf), remarks: read.remarks }
    })
  },

  /** Takes a flight of the file over; the rest of it is let go. */
  take(flight: number): void {
    taken = read?.flights[flight] ?? null
    opened = read = null
  },

  /** The flight that was taken beside what a plan predicts for it. */
  compare(plan: Plan, role: LinkRole, isPutOnGround: boolean): Promise<Outcome<Comparison>> {
    return errorsAsData(async () => {
      if (!site || !taken) throw new Error('a flight was compared before there was one')
      const { launch, antennaHeightM, radio, clearingM } = plan
      // The excess makes no difference to what it is compared with.
      const link = { ...plan[role], excessLossDb: 0, spreadDb: null, name: '' }
      const key = JSON.stringify([
        launch,
        antennaHeightM,
        radio,
        clearingM,
        link,
        role,
        isPutOnGround,
      ])
      const log = taken
      if (last?.key !== key || last.of !== log) {
        last = { key, of: log, predicted: predictAlong(site, plan, log, role, isPutOnGround) }
      }
      const { predicted } = last
      return {
        log,
        predicted,
        kinds: compareByKind(log, predicted),
        signal: orSentence(() => fitSignal(log, predicted, plan[role])),
        current: orSentence(() => fitCurrent(plan, log, predicted)),
        chargeMah: chargeAlong(log),
      }
    })
  },
}

function summaryOf(log: FlightLog): FlightSummary {
  const charge = chargeAlong(log)
  const range = rangeOf(charge)
  return {
    startedAtMs: log.startedAtMs,
    durationS: log.timeS[log.timeS.length - 1],
    entries: log.timeS.length,
    signalDbm: rangeOf(log.signalDbm),
    heightM: rangeOf(log.heightM),
    usedMah: range && range[1] - range[0],
    beginsAtRest: beginsAtRest(log),
  }
}

function rangeOf(values: Float64Array): [number, number] | null {
  let [low, high] = [Infinity, -Infinity]
  for (const value of values) {
    if (value < low) low = value
    if (value > high) high = value
  }
  return low <= high ? [low, high] : null
}

export type LogWorker = typeof api
expose(api)
