import { effect, signal } from '@preact/signals'
import { wrap } from 'comlink'
import type { TextFile } from '../../core/host'
import type { LogMapping } from '../../core/log/logTable'
import type { LinkRole } from '../../core/log/predicted'
import { calibratedAircraft } from '../../core/log/currentFit'
import { calibratedLink } from '../../core/log/signalFit'
import { host } from '../host/host'
import type { Comparison, LogWorker, OpenedTable, ReadFlights } from '../workers/log.worker'
import { keepAircraft } from './aircraft'
import { keep } from './kept'
import { changeLink, keepLink } from './links'
import { changeSetup, setup } from './setup'
import { surface } from './surface'
import { terrain } from './terrain'
import { notice, trackWork } from './work'

const thread = wrap<LogWorker>(
  new Worker(new URL('../workers/log.worker.ts', import.meta.url), { type: 'module' }),
)

// ---- a file, before anything of it is taken over ----

export interface WaitingLog {
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

/** Mappings that were taken over once, by the heads of their tables. */
const mappings = signal<Readonly<Record<string, LogMapping>>>({})
keep('log-columns', mappings, (json) => {
  if (typeof json !== 'object' || json === null) throw new Error('not an object')
  return json as Record<string, LogMapping>
})
/** More kinds of tables than this nobody has. */
const MOST_MAPPINGS = 40

const keyOf = (heads: readonly string[]) => heads.join('\n')

export async function chooseLog(): Promise<void> {
  const file = await host.openText('Flight log: CSV or GPX', LOG_ENDINGS)
  if (file) await lookAtLog(file)
}

/** Shows what is in a log, with the columns as they were taken last time. */
export async function lookAtLog({ text, name }: TextFile): Promise<void> {
  const tracked = trackWork(`Reading ${name}`, null)
  const outcome = await thread.open(text, name)
  tracked.end()
  if (outcome.kind !== 'done') {
    notice.value = outcome.kind === 'failed' ? outcome.sentence : null
    return
  }
  notice.value = null
  const table = outcome.value
  const mapping = table && (mappings.peek()[keyOf(table.heads)] ?? table.guess)
  waitingLog.value = { name, table, mapping, read: null, flight: 0 }
  await readAgain()
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
  const outcome = await thread.read(asked.mapping)
  const waiting = waitingLog.peek()
  // A newer mapping has been chosen meanwhile, or the sheet was closed.
  if (waiting?.mapping !== asked.mapping || waiting.name !== asked.name) return
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
  const { name, table, mapping, flight, read } = waiting
  waitingLog.value = null
  if (table && mapping) {
    const key = keyOf(table.heads)
    const others = Object.entries(mappings.peek()).filter(([heads]) => heads !== key)
    const kept = others.slice(1 - MOST_MAPPINGS)
    mappings.value = { ...Object.fromEntries(kept), [key]: mapping }
  }
  await thread.take(flight)
  isPutOnGround.value = read.flights[flight].beginsAtRest
  shownMoment.value = null
  flown.value = { name, startedAtMs: read.flights[flight].startedAtMs }
}

// ---- the flight beside the plan ----

/** The flight taken over; null for none. */
export const flown = signal<{ readonly name: string; readonly startedAtMs: number | null } | null>(
  null,
)
/** The link whose signal was logged. */
export const loggedLink = signal<LinkRole>('video')
/** True where logged heights are shifted so that the flight starts on the ground. */
export const isPutOnGround = signal(false)

/** The newest comparison, or why there is none; null until it is there. */
export const comparison = signal<Comparison | string | null>(null)
/** Entry of the flight that is looked at; null for none. */
export const shownMoment = signal<number | null>(null)
/** How the track is drawn on the map. */
export const trackShows = signal<'way' | 'difference'>('way')

export function dropLog(): void {
  flown.value = null
  shownMoment.value = null
}

effect(() => {
  const [grid, stands] = [terrain.value, surface.value]
  if (grid && stands && flown.value) void thread.setSite(grid, stands)
})

/** Nobody waits for a comparison while a slider is dragged, milliseconds. */
const REST_MS = 200
let timer: ReturnType<typeof setTimeout> | undefined
let serial = 0

effect(() => {
  const [its, grid, stands] = [flown.value, terrain.value, surface.value]
  const [plan, role, onGround] = [setup.value, loggedLink.value, isPutOnGround.value]
  const number = ++serial
  clearTimeout(timer)
  if (!its || !grid || !stands) {
    comparison.value = null
    return
  }
  timer = setTimeout(() => {
    const tracked = trackWork('Comparing the flight', null)
    void thread.compare(plan, role, onGround).then((outcome) => {
      tracked.end()
      if (number !== serial) return
      comparison.value =
        outcome.kind === 'done'
          ? outcome.value
          : outcome.kind === 'failed'
            ? outcome.sentence
            : null
    })
  }, REST_MS)
})

/** The comparison where there is one. */
export function comparisonAtHand(): Comparison | null {
  const found = comparison.value
  return typeof found === 'string' ? null : found
}

const DAY = new Intl.DateTimeFormat('en-GB', { dateStyle: 'medium' })

/** The day of the flight, or today where its file does not say. */
function dayOfFlight(): string {
  return DAY.format(new Date(flown.peek()?.startedAtMs ?? Date.now()))
}

/** Takes the fitted excess loss into the link, and keeps it as a preset. */
export function takeSignalFit(): void {
  const found = comparison.peek()
  if (!found || typeof found === 'string' || typeof found.signal === 'string') return
  const role = loggedLink.peek()
  const link = calibratedLink(setup.peek()[role], found.signal, dayOfFlight())
  changeLink(role, link)
  keepLink(link)
}

/** Takes the fitted currents into the aircraft, and keeps it as a preset. */
export function takeCurrentFit(): void {
  const found = comparison.peek()
  if (!found || typeof found === 'string' || typeof found.current === 'string') return
  const aircraft = calibratedAircraft(setup.peek().aircraft, found.current, dayOfFlight())
  changeSetup({ aircraft })
  keepAircraft(aircraft)
}
