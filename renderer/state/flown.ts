import { batch, computed, effect, signal } from '@preact/signals'
import { z } from 'zod'
import type { TextFile } from '../../core/host'
import { calibratedAircraft, calibratedLink } from '../../core/log/calibrated'
import { LOG_HEIGHTS, type FlightLog } from '../../core/log/flightLog'
import { SIGNAL_UNITS, TIME_UNITS, type LogMapping } from '../../core/log/logTable'
import type { LinkRole } from '../../core/log/predicted'
import type { Surface } from '../../core/surface/surface'
import type { TerrainGrid } from '../../core/terrain/grid'
import { host } from '../host/host'
import type { Compared, LogWorker, OpenedTable, ReadFlights } from '../workers/log.worker'
import type { Outcome } from '../workers/outcome'
import { keepAircraft } from './aircraft'
import { keep } from './kept'
import { changeLink, keepLink } from './links'
import { changeSetup, setup, type Setup } from './setup'
import { surface } from './surface'
import { errorM, terrain } from './terrain'
import { lateThread } from './threads'
import { dayWords } from '../../core/words/moment'
import { say } from '../../core/words/say'
import { notice, trackWork } from './work'

const thread = lateThread<LogWorker>(
  () => new Worker(new URL('../workers/log.worker.ts', import.meta.url), { type: 'module' }),
)

// ---- a file, before anything of it is taken over ----

export interface WaitingLog {
  /** Number of the file: the thread knows it by that. */
  readonly id: number
  readonly name: string
  /** Null for a track, which has no columns to choose. */
  readonly table: OpenedTable | null
  readonly mapping: LogMapping | null
  /** What would be taken over; null while it is read, a sentence where it cannot be. */
  readonly read: ReadFlights | string | null
  readonly flight: number
}

export const waitingLog = signal<WaitingLog | null>(null)

export const LOG_ENDINGS = ['csv', 'txt', 'tsv', 'gpx']

const column = z.number().int().min(0).nullable()
const mappingSchema = z.object({
  columns: z.object({
    time: column,
    lat: column,
    lon: column,
    height: column,
    signal: column,
    mah: column,
    volts: column,
    amps: column,
  }),
  timeUnit: z.enum(TIME_UNITS),
  heightOver: z.enum(LOG_HEIGHTS),
  heightUnitM: z.number().positive(),
  signalUnit: z.enum(SIGNAL_UNITS),
  percentDbm: z.tuple([z.number(), z.number()]),
})
/** Mappings that were taken over once, by the heads of their tables. */
const mappings = signal<Readonly<Record<string, LogMapping>>>({})
keep('log-columns', mappings, (json) => z.record(z.string(), mappingSchema).parse(json))
/** More kinds of tables than this nobody has. */
const MOST_MAPPINGS = 40

const keyOf = (heads: readonly string[]) => heads.join('\n')

export async function chooseLog(): Promise<void> {
  const file = await host.openText(say('flown.flightLogCsvGpx'), LOG_ENDINGS)
  if (file) await lookAtLog(file)
}

let files = 0

/** Shows what is in a log, with the columns as they were taken last time. */
export async function lookAtLog({ text, name }: TextFile): Promise<void> {
  const id = ++files
  const outcome = await tracking<OpenedTable | null>(
    say('flown.reading', { name }),
    thread().open(id, text, name),
  )
  notice.value = outcome.kind === 'failed' ? outcome.sentence : null
  if (outcome.kind !== 'done') return
  const table = outcome.value
  const mapping = table && (mappings.peek()[keyOf(table.heads)] ?? table.guess)
  waitingLog.value = { id, name, table, mapping, read: null, flight: 0 }
  await readAgain()
}

/** Work whose progress is shown until it ends, however it does. */
async function tracking<T>(label: string, work: Promise<Outcome<T>>): Promise<Outcome<T>> {
  const tracked = trackWork(label, null)
  try {
    return await work
  } finally {
    tracked.end()
  }
}

export function closeLog(): void {
  const waiting = waitingLog.peek()
  if (waiting) void thread().close(waiting.id)
  waitingLog.value = null
}

/** Takes the columns otherwise. */
export async function mapLog(part: Partial<LogMapping>): Promise<void> {
  const waiting = waitingLog.peek()
  if (!waiting?.mapping) return
  waitingLog.value = { ...waiting, mapping: { ...waiting.mapping, ...part }, read: null }
  await readAgain()
}

async function readAgain(): Promise<void> {
  const asked = waitingLog.peek()
  if (!asked) return
  const outcome = await thread().read(asked.id, asked.mapping)
  const waiting = waitingLog.peek()
  // A newer mapping has been chosen meanwhile, or another file, or the sheet was closed.
  if (waiting?.id !== asked.id || waiting.mapping !== asked.mapping) return
  const read =
    outcome.kind === 'done' ? outcome.value : outcome.kind === 'failed' ? outcome.sentence : null
  waitingLog.value = { ...waiting, read, flight: longestOf(read) }
}

function longestOf(read: ReadFlights | string | null): number {
  if (read === null || typeof read === 'string') return 0
  const { flights } = read
  return flights.reduce(
    (best, { durationS }, i) => (durationS > flights[best].durationS ? i : best),
    0,
  )
}

export function chooseFlight(flight: number): void {
  const waiting = waitingLog.peek()
  if (waiting) waitingLog.value = { ...waiting, flight }
}

/** Takes the flight over and remembers the columns. */
export async function takeLog(): Promise<void> {
  const waiting = waitingLog.peek()
  if (!waiting?.read || typeof waiting.read === 'string') return
  const { id, name, table, mapping, flight, read } = waiting
  waitingLog.value = null
  if (table && mapping) {
    const key = keyOf(table.heads)
    const others = Object.entries(mappings.peek()).filter(([heads]) => heads !== key)
    const kept = others.slice(1 - MOST_MAPPINGS)
    mappings.value = { ...Object.fromEntries(kept), [key]: mapping }
  }
  const taken = await thread().take(id, flight)
  if (!taken) return
  batch(() => {
    isPutOnGround.value = read.flights[flight].beginsAtRest
    shownMoment.value = null
    flown.value = { name, ...taken }
  })
}

// ---- the flight beside the plan ----

/** A flight taken over. */
export interface Flown {
  readonly name: string
  readonly log: FlightLog
  /** Charge taken since it began, mAh; NaN where it is not known. */
  readonly chargeMah: Float64Array
}

export const flown = signal<Flown | null>(null)
/** The link whose signal was logged. */
export const loggedLink = signal<LinkRole>('video')
/** True where logged heights are shifted so that the flight starts on the ground. */
export const isPutOnGround = signal(false)
/** Entry of the flight that is looked at; null for none. */
export const shownMoment = signal<number | null>(null)
/** How the track is drawn on the map. */
export const trackShows = signal<'way' | 'difference'>('way')

export function dropLog(): void {
  flown.value = null
  shownMoment.value = null
}

/** What a comparison is made of. */
interface Task {
  readonly flown: Flown
  readonly role: LinkRole
  readonly isPutOnGround: boolean
  readonly site: { readonly grid: TerrainGrid; readonly stands: Surface }
  readonly plan: Setup
  readonly errorM: number
}

const site = computed(() => {
  const [grid, stands] = [terrain.value, surface.value]
  return flown.value && grid && stands ? { grid, stands } : null
})

const wanted = computed((): Task | null => {
  const [its, where] = [flown.value, site.value]
  if (!its || !where) return null
  return {
    flown: its,
    role: loggedLink.value,
    isPutOnGround: isPutOnGround.value,
    site: where,
    plan: setup.value,
    errorM: errorM.value,
  }
})

const newest = signal<{ readonly of: Task; readonly answer: Compared | string } | null>(null)

/**
 * A flight beside what was predicted for it; a sentence where there is nothing to compare, null
 * until it is there. It may be of settings a moment ago, never of another flight, link or site.
 */
export const comparison = computed((): (Compared & Flown) | string | null => {
  const [found, task] = [newest.value, wanted.value]
  if (!found || !task) return null
  const { of, answer } = found
  const isOther =
    of.flown !== task.flown ||
    of.role !== task.role ||
    of.isPutOnGround !== task.isPutOnGround ||
    of.site !== task.site
  if (isOther) return null
  return typeof answer === 'string' ? answer : { ...task.flown, ...answer }
})

/** True where the comparison is of everything that is set now: only then can it be taken over. */
export const isComparisonCurrent = computed(() => newest.value?.of === wanted.value)

effect(() => {
  if (site.value) void thread().setSite(site.value.grid, site.value.stands)
})

/** Nobody waits for a comparison while a slider is dragged, milliseconds. */
const REST_MS = 200
let timer: ReturnType<typeof setTimeout> | undefined

effect(() => {
  const task = wanted.value
  clearTimeout(timer)
  if (task) timer = setTimeout(() => void compare(task), REST_MS)
})

async function compare(task: Task): Promise<void> {
  const { plan, role, isPutOnGround: onGround, errorM: error } = task
  const outcome = await tracking<Compared>(
    say('flown.comparingWork'),
    thread().compare(plan, role, onGround, error),
  )
  if (wanted.peek() !== task) return
  if (outcome.kind === 'done') newest.value = { of: task, answer: outcome.value }
  if (outcome.kind === 'failed') newest.value = { of: task, answer: outcome.sentence }
}

/** The comparison where there is one. */
export const comparisonAtHand = computed(() =>
  typeof comparison.value === 'string' ? null : comparison.value,
)

/** When it was flown: the day, or the name of the file where that does not say. */
function whenFlown({ name, log: { startedAtMs } }: Flown): string {
  return startedAtMs === null ? say('flown.in', { name }) : dayWords(new Date(startedAtMs))
}

/** Takes the fitted excess loss into the link, and keeps it as a preset. */
export function takeSignalFit(): void {
  const found = comparisonAtHand.peek()
  if (!found || typeof found.signal === 'string' || !isComparisonCurrent.peek()) return
  const role = loggedLink.peek()
  const link = calibratedLink(setup.peek()[role], found.signal, whenFlown(found))
  changeLink(role, link)
  keepLink(link)
}

/** Takes the fitted currents into the aircraft, and keeps it as a preset. */
export function takeCurrentFit(): void {
  const found = comparisonAtHand.peek()
  if (!found || typeof found.current === 'string' || !isComparisonCurrent.peek()) return
  const aircraft = calibratedAircraft(setup.peek().aircraft, found.current, whenFlown(found))
  changeSetup({ aircraft })
  keepAircraft(aircraft)
}
