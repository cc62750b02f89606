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
import { exposeSpeaking } from './threadLanguage'

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

/** What was predicted for a flight, and what is fitted to it. */
export interface Compared {
  readonly predicted: Predicted
  readonly kinds: readonly KindComparison[]
  /** Fits, or why there are none. */
  readonly signal: SignalFit | string
  readonly current: CurrentFit | string
}

let site: Site | null = null
/** The file that is looked at, by a number that who asks about it must name. */
let opened: { readonly id: number; readonly text: string; readonly name: string } | null = null
let read: { readonly of: number; readonly file: LogFile } | null = null
let taken: FlightLog | null = null
/** The newest prediction and fits, and what they were made for. */
let last: { readonly key: string; readonly predicted: Predicted } | null = null
let lastSignal: { readonly key: string; readonly fit: SignalFit | string } | null = null
let lastCurrent: { readonly key: string; readonly fit: CurrentFit | string } | null = null

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
    forget()
  },

  /**
   * Looks at a file: a table whose columns must be agreed upon, or a track that is read at once.
   * @param id number that the file goes by from now on
   */
  open(id: number, text: string, name: string): Promise<Outcome<OpenedTable | null>> {
    return errorsAsData(async () => {
      if (/^\s*</.test(text)) {
        const file = readGpxLog(text, name)
        opened = { id, text: '', name }
        read = { of: id, file }
        return null
      }
      const table = readLogTable(text, name)
      opened = { id, text, name }
      const { heads, sample, lines } = table
      return { heads, lines, rows: sample.slice(0, LINES_SHOWN), guess: guessMapping(table) }
    })
  },

  /** The flights of the file that is open; by a mapping where it is a table. Null for another file. */
  read(id: number, mapping: LogMapping | null): Promise<Outcome<ReadFlights | null>> {
    return errorsAsData(async () => {
      if (opened?.id !== id) return null
      if (mapping) read = { of: id, file: readLog(opened.text, opened.name, mapping) }
      if (read?.of !== id) return null
      const { flights, remarks } = read.file
      return { flights: flights.map(summaryOf), remarks }
    })
  },

  /** Takes a flight of the file over, with the charge along it, and lets go of the rest. */
  take(id: number, flight: number): { log: FlightLog; chargeMah: Float64Array } | null {
    const log = read?.of === id ? read.file.flights[flight] : undefined
    if (!log) return null
    taken = log
    forget()
    opened = read = null
    return { log, chargeMah: chargeAlong(log) }
  },

  /** Lets go of a file that was only looked at. */
  close(id: number): void {
    if (opened?.id === id) opened = null
    if (read?.of === id) read = null
  },

  /** What a plan predicts for the flight that was taken. */
  compare(
    plan: Plan,
    role: LinkRole,
    isPutOnGround: boolean,
    errorM: number,
  ): Promise<Outcome<Compared>> {
    return errorsAsData(async () => {
      if (!site || !taken) throw new Error('a flight was compared before there was one')
      const log = taken
      const { launch, antennaHeightM, radio, clearingM } = plan
      // The excess makes no difference to what it is compared with.
      const link = { ...plan[role], excessLossDb: 0, spreadDb: null, name: '' }
      const about = [launch, antennaHeightM, radio, clearingM, link, role, isPutOnGround, errorM]
      const key = JSON.stringify(about)
      if (last?.key !== key) {
        last = { key, predicted: predictAlong(site, plan, log, role, isPutOnGround, errorM) }
      }
      const { predicted } = last
      if (lastSignal?.key !== key) {
        lastSignal = { key, fit: orSentence(() => fitSignal(log, predicted, plan, plan[role])) }
      }
      const currentKey = JSON.stringify([key, plan.aircraft, plan.battery, plan.wind])
      if (lastCurrent?.key !== currentKey) {
        lastCurrent = {
          key: currentKey,
          fit: orSentence(() => fitCurrent(plan, log, predicted)),
        }
      }
      return {
        predicted,
        kinds: compareByKind(log, predicted),
        signal: lastSignal.fit,
        current: lastCurrent.fit,
      }
    })
  },
}

function forget(): void {
  last = lastSignal = lastCurrent = null
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
exposeSpeaking(api)
