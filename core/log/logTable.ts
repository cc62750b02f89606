import Papa from 'papaparse'
import { PilotError } from '../errors'
import { headOf, numbersWith } from '../exchange/csv'
import { METRES_PER_FOOT } from '../picture/relief'
import { say } from '../words/say'
import { flightsOf, LogGatherer, type LogFile, type LogHeight } from './flightLog'

/** What columns of a table can say. */
export const LOG_COLUMNS = [
  'time',
  'lat',
  'lon',
  'height',
  'signal',
  'mah',
  'volts',
  'amps',
] as const
export type LogColumn = (typeof LOG_COLUMNS)[number]

/** How signals are written: dBm, dBm without its minus, or percent between two levels. */
export const SIGNAL_UNITS = ['dbm', 'unsigned dbm', 'percent'] as const
export type SignalUnit = (typeof SIGNAL_UNITS)[number]

/** How times are written; moments of the day and of the calendar are known by themselves. */
export const TIME_UNITS = ['s', 'ms', 'us'] as const
export type TimeUnit = (typeof TIME_UNITS)[number]

/** Which column says what, and how; counted from 0, null for none. */
export interface LogMapping {
  readonly columns: Readonly<Record<LogColumn, number | null>>
  readonly timeUnit: TimeUnit
  readonly heightOver: LogHeight
  /** Metres in the unit of the heights. */
  readonly heightUnitM: number
  readonly signalUnit: SignalUnit
  /** Levels that 0 and 100 percent stand for, dBm. */
  readonly percentDbm: readonly [at0: number, at100: number]
}

/** A table as it is shown before anything is taken over. */
export interface LogTable {
  readonly heads: readonly string[]
  /** The first lines, and some from all over the file. */
  readonly sample: readonly (readonly string[])[]
  readonly lines: number
  readonly delimiter: string
}

/** Lines shown, and lines that the guesses are made from. */
export const LINES_SHOWN = 6
const LINES_GUESSED = 400
/** A table is taken apart in such pieces, so that a long one needs little memory. */
const CHUNK_CHARACTERS = 2_000_000
/**
 * Levels that 0 and 100 percent are taken for until the pilot says better. Common practice, no
 * source; receivers differ.
 */
export const USUAL_PERCENT_DBM = [-100, -40] as const

/** Looks at a table of a log. Throws a PilotError for what is none. */
export function readLogTable(text: string, fileName: string): LogTable {
  const sample: (readonly string[])[] = []
  const { heads, delimiter, lines } = eachLine(text, fileName, (row, line) => {
    if (line < LINES_GUESSED || line % 997 === 0) sample.push(row)
  })
  return { heads, sample, lines, delimiter }
}

interface TableHead extends Omit<LogTable, 'sample'> {
  /** Reads numbers as the table writes them. */
  readonly number: (text: string) => number
}

/**
 * Calls back for every line of a table that is not empty but its heads.
 * Throws a PilotError where there are no heads, or no lines.
 */
function eachLine(
  text: string,
  fileName: string,
  use: (row: readonly string[], line: number, head: TableHead) => void,
): TableHead {
  let head: TableHead | null = null
  let lines = 0
  Papa.parse<string[]>(text.replace(/^\uFEFF/, ''), {
    skipEmptyLines: 'greedy',
    chunkSize: CHUNK_CHARACTERS,
    chunk: ({ data, meta: { delimiter } }: Papa.ParseResult<string[]>) => {
      for (const row of data) {
        if (head) use(row, lines++, head)
        else head = headOfTable(row, delimiter, fileName)
      }
    },
    complete: () => undefined,
  })
  if (!head || lines === 0) throw noTable(fileName)
  return { ...(head as TableHead), lines }
}

function headOfTable(row: readonly string[], delimiter: string, fileName: string): TableHead {
  const heads = row.map((head) => head.trim())
  if (heads.length < 3) throw noTable(fileName)
  if (heads.every((head) => head !== '' && !Number.isNaN(Number(head)))) {
    throw new PilotError(say('logTable.beginsNumbersFirstLine', { fileName }))
  }
  return { heads, delimiter, lines: 0, number: numbersWith(delimiter) }
}

function noTable(fileName: string): PilotError {
  return new PilotError(say('logTable.noTableLineHeads', { fileName }))
}

/**
 * What heads of columns are called, the likeliest first, in small letters without unit and
 * punctuation.
 */
const HEADS: Readonly<Record<LogColumn, readonly RegExp[]>> = {
  time: [/^time(stamp)?(us|ms|s|boot)?$/, /^(datetime|utc|elapsed|clock)/, /time$|^seconds$|^t$/],
  lat: [/^(gps)?lat(itude)?(deg)?$/, /latitude/],
  lon: [/^(gps)?(lon|lng|long|longitude)(deg)?$/, /longitude/],
  height: [/^baro(alt(itude)?)?$/, /^rel(ative)?(alt(itude)?|height)$/, /^(alt(itude)?|height|elevation|ele|amsl)$/, /alt(itude)?$|height$/], // prettier-ignore
  signal: [/rssi|^rss/, /^signal|^(rx)?(level|power)$|dbm/],
  mah: [/^mah|mah$|consum|drawn|^used/, /^(used)?capa(city)?(used)?$|^charge$/],
  volts: [/^(rx)?(volt(age)?|vbat|batt?(ery)?v(olt(age)?)?|rxbt|v)$/, /volt/],
  amps: [/^(curr(ent)?|amps?|ampere|a|i)$/, /current/],
}
/** Heads that sound alike and say something else. */
const OTHERS = /latency|temp|press|remain|left|percent|wind|time(out|zone)/
/** Units, in small letters, that a column of its kind may name. */
const UNITS: Partial<Record<LogColumn, RegExp>> = {
  height: /^(m|ft|feet|meters?|metres?)?$/,
  signal: /^(dbm|db|%|percent)?$/,
  mah: /^(m?ah)?$/,
  volts: /^(m?v)?$/,
  amps: /^(m?a)?$/,
}

/** Guesses which column says what from its head, and how from its values. */
export function guessMapping(table: LogTable): LogMapping {
  const { heads, sample } = table
  const plain = heads.map((head) => headOf(head))
  const taken = new Set<number>()
  const columnOf = (column: LogColumn): number | null => {
    for (const pattern of HEADS[column]) {
      const at = plain.findIndex(
        ({ words }, i) =>
          pattern.test(words) &&
          !OTHERS.test(words) &&
          !taken.has(i) &&
          (UNITS[column]?.test(unitIn(heads[i])) ?? true),
      )
      if (at >= 0) {
        taken.add(at)
        return at
      }
    }
    return null
  }
  const columns = Object.fromEntries(
    // Charge before current and voltage, whose words are found in more heads.
    LOG_COLUMNS.map((column) => [column, columnOf(column)]),
  ) as Record<LogColumn, number | null>
  if (columns.lat === null && columns.lon === null) {
    // Both in one cell.
    const at = heads.findIndex((_, i) => pairIn(sample[0]?.[i] ?? '') !== null)
    if (at >= 0) columns.lat = columns.lon = at
  }
  const number = numbersWith(table.delimiter)
  const valuesOf = (column: number | null) =>
    column === null
      ? []
      : sample.map((row) => number(row[column] ?? '')).filter((value) => !Number.isNaN(value))
  const unitOf = (column: number | null) => (column === null ? '' : unitIn(heads[column]))
  return {
    columns,
    timeUnit: guessTimeUnit(unitOf(columns.time), valuesOf(columns.time)),
    heightOver: guessHeightOver(
      columns.height === null ? '' : plain[columns.height].words,
      valuesOf(columns.height),
    ),
    heightUnitM: /^f(ee)?t/.test(unitOf(columns.height)) ? METRES_PER_FOOT : 1,
    signalUnit: guessSignalUnit(unitOf(columns.signal), valuesOf(columns.signal)),
    percentDbm: USUAL_PERCENT_DBM,
  }
}

/** The unit that a head names, in small letters; empty for none. */
function unitIn(head: string): string {
  return (
    /[([]([^)\]]*)[)\]]|[_ ](us|ms|s|ft|feet|m|dbm|%|ma|mv|ah|mah|v|a)$/i.exec(head.trim()) ?? []
  )
    .slice(1)
    .join('')
    .trim()
    .toLowerCase()
}

/** Moments of a log lie so far apart, seconds. */
const STEP_S = [0.004, 10] as const

/** The unit that a head names, else the first in which moments lie as far apart as logs have them. */
function guessTimeUnit(unit: string, values: readonly number[]): TimeUnit {
  const named = TIME_UNITS.find((one) => one === unit)
  if (named) return named
  const steps = values
    .slice(1, LINES_GUESSED)
    .map((value, i) => value - values[i])
    .filter((step) => step > 0)
    .sort((a, b) => a - b)
  const step = steps[steps.length >> 1] ?? 1
  const [least, most] = STEP_S
  const isLikely = (one: TimeUnit) => {
    const seconds = step / PER_SECOND[one]
    return seconds >= least && seconds <= most
  }
  return TIME_UNITS.find(isLikely) ?? 's'
}

const PER_SECOND: Readonly<Record<TimeUnit, number>> = { s: 1, ms: 1e3, us: 1e6 }

/** Heights that begin near nought are over the start; none over the sea begins so by chance. */
function guessHeightOver(words: string, values: readonly number[]): LogHeight {
  if (/^gps|amsl|sea$|^ele(vation)?$/.test(words)) return 'sea'
  const [first] = values
  return first !== undefined && Math.abs(first) < 15 ? 'start' : 'sea'
}

function guessSignalUnit(unit: string, values: readonly number[]): SignalUnit {
  const low = Math.min(...values)
  const high = Math.max(...values)
  if (low < 0 && high <= 0) return 'dbm'
  if (/db/.test(unit)) return 'unsigned dbm'
  return high <= 100 ? 'percent' : 'unsigned dbm'
}

/** Both numbers of a cell such as "47.1 11.2"; null for other cells. */
function pairIn(cell: string): readonly [lat: number, lon: number] | null {
  const [, lat, lon] = /^\s*(-?\d+\.\d+)[\s,;]+(-?\d+\.\d+)\s*$/.exec(cell) ?? []
  return lon === undefined ? null : [Number(lat), Number(lon)]
}

/** Factors that bring a column's unit to volts, amperes and milliampere-hours. */
const FACTORS: Readonly<Record<string, number>> = { mv: 1e-3, ma: 1e-3, ah: 1e3 }
const DAY_S = 86_400
/** Seconds as many as since 1970 until the year 2001 are moments of the calendar. */
const EPOCH_S = 1e9

/** Reads moments of time in any of their spellings, as seconds that go on past midnight. */
class TimeReader {
  /** True where the file names days. */
  hasDay = false
  private last = -Infinity
  private days = 0

  constructor(private readonly perSecond: number) {}

  read(text: string, number: (text: string) => number): number {
    const trimmed = text.trim()
    // Two parts are minutes and seconds: nobody logs a flight by the minute.
    const [, hours = '0', minutes, seconds] =
      /^(?:(\d{1,2}):)?(\d{1,3}):(\d{2}(?:\.\d+)?)$/.exec(trimmed) ?? []
    if (seconds !== undefined) {
      const ofDay = Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds)
      if (ofDay + this.days < this.last - DAY_S / 2) this.days += DAY_S
      this.last = ofDay + this.days
      return this.last
    }
    if (/^\d{4}-\d{2}-\d{2}/.test(trimmed)) {
      const hasZone = /(Z|[+-]\d{2}:?\d{2})$/.test(trimmed)
      const ms = Date.parse(trimmed.replace(' ', 'T') + (hasZone ? '' : 'Z'))
      this.hasDay = true
      return ms / 1000
    }
    const moment = number(trimmed) / this.perSecond
    if (moment > EPOCH_S) this.hasDay = true
    return moment
  }
}

/**
 * Flights of a table by its mapping. Throws a PilotError that says which column is missing or
 * cannot be what it is taken for.
 */
export function readLog(text: string, fileName: string, mapping: LogMapping): LogFile {
  const { columns, signalUnit, percentDbm } = mapping
  if (columns.time === null || columns.lat === null || columns.lon === null) {
    throw new PilotError(say('logTable.chooseColumnsTimeLatitude', { fileName }))
  }
  const [low, high] = percentDbm
  const dbmOf = (value: number) => {
    if (signalUnit === 'percent') return low + ((high - low) * value) / 100
    return signalUnit === 'dbm' ? value : -value
  }
  const gathered = new LogGatherer()
  const range = { low: Infinity, high: -Infinity }
  const times = new TimeReader(PER_SECOND[mapping.timeUnit])
  let factors: readonly number[] | null = null
  const { heads } = eachLine(text, fileName, (row, _line, head) => {
    const { number } = head
    const cell = (column: number | null) => (column === null ? NaN : number(row[column] ?? ''))
    factors ??= [columns.volts, columns.amps, columns.mah].map((column) =>
      column === null ? 1 : (FACTORS[unitIn(head.heads[column])] ?? 1),
    )
    const [volts, amps, mah] = factors
    const [latDeg, lonDeg] =
      columns.lat === columns.lon
        ? (pairIn(row[columns.lat ?? 0] ?? '') ?? [NaN, NaN])
        : [cell(columns.lat), cell(columns.lon)].map(degreesOf)
    const signal = cell(columns.signal)
    if (signal < range.low) range.low = signal
    if (signal > range.high) range.high = signal
    gathered.add(
      {
        timeS: times.read(row[columns.time ?? 0] ?? '', number),
        latDeg,
        lonDeg,
        heightM: mapping.heightUnitM * cell(columns.height),
        signalDbm: dbmOf(signal),
        takenMah: mah * cell(columns.mah),
        volts: volts * cell(columns.volts),
        amps: amps * cell(columns.amps),
      },
      fileName,
    )
  })
  checkSignal(mapping, range, heads)
  const about = {
    heightOver: mapping.heightOver,
    isSignalScaled: signalUnit === 'percent',
  }
  return flightsOf(gathered, about, times.hasDay, fileName)
}

/** Some programs write degrees as whole numbers, ten million to the degree. */
function degreesOf(value: number): number {
  return Math.abs(value) > 1000 ? value / 1e7 : value
}

/** Levels at a receiver lie between these, dBm. */
const SIGNAL_DBM = [-150, 10] as const

/** Says where signals cannot be what they are taken for. */
function checkSignal(
  { columns, signalUnit }: LogMapping,
  { low, high }: { low: number; high: number },
  heads: readonly string[],
): void {
  if (columns.signal === null || low > high) return
  const head = heads[columns.signal]
  const says = say('logTable.columnRuns', { head, low, high })
  if (signalUnit === 'dbm' && low >= 0 && high > 10) {
    const meant = high <= 100 ? say('log.percent') : say('common.dbmWithoutMinus')
    throw new PilotError(say('logTable.notDbmSaySo', { says, meant }))
  }
  if (signalUnit === 'percent' && (low < 0 || high > 100)) {
    throw new PilotError(say('logTable.noPercentSayHow', { says }))
  }
  if (signalUnit === 'unsigned dbm' && low < 0) {
    throw new PilotError(say('logTable.hasMinusTakeDbm', { says }))
  }
  const [least, most] = SIGNAL_DBM
  const levels = signalUnit === 'unsigned dbm' ? [-high, -low] : [low, high]
  if (signalUnit !== 'percent' && (levels[0] < least || levels[1] > most)) {
    throw new PilotError(say('logTable.noReceiverHasSuch', { says }))
  }
}

/** Enough of a text to see its heads and some lines, characters. */
const GLANCE = 20_000

/** True for a table that says where something was when, and its signal or charge: a flight log. */
export function isLogTable(text: string): boolean {
  try {
    const { columns } = guessMapping(readLogTable(text.slice(0, GLANCE), 'log'))
    const { time, lat, lon, signal, mah, volts, amps } = columns
    const hasPlaces = time !== null && lat !== null && lon !== null
    return hasPlaces && [signal, mah, volts, amps].some((column) => column !== null)
  } catch (error) {
    if (error instanceof PilotError) return false
    throw error
  }
}
