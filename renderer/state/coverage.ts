import { computed, effect, signal } from '@preact/signals'
import { prepareSweep, type CoverageSettings } from '../../core/coverage/clearHeights'
import type { ClearCounts } from '../../core/coverage/shares'
import type { Horizon } from '../../core/coverage/horizon'
import type { ClearFields } from '../../core/coverage/radialSweep'
import type { SweepGround, SweepSettings } from '../../core/coverage/fan'
import { coarsenSweep } from '../../core/coverage/coarsenSweep'
import type { Surface } from '../../core/surface/surface'
import { coarsen, means } from '../../core/terrain/coarsen'
import type { GridFrame, TerrainGrid } from '../../core/terrain/grid'
import { setup } from './setup'
import { isSurfaceCurrent, surface } from './surface'
import { countClasses, interruptLongJob, lookAround, pool, useGround, withPool } from './sweeping'
import { errorM, terrain } from './terrain'
import { inSharedMemory } from '../workers/sharedMemory'
import { say } from '../../core/words/say'
import { notice, trackWork } from './work'

/** Both fields of a launch point, and the grid they are on: the terrain's, or a coarser one. */
export interface Coverage extends ClearFields {
  /** Its own number; the same while only the counts change. */
  readonly id: number
  readonly frame: GridFrame
  /** The terrain it was computed over. */
  readonly terrain: TerrainGrid
  readonly ground: SweepGround
  readonly sweep: SweepSettings
  /** Grid bearing of true north at the launch point. */
  readonly northRad: number
  readonly counts: ClearCounts
  /** Vertical error of the terrain that the counts are for, metres. */
  readonly errorM: number
  readonly horizon: Horizon
  readonly settings: CoverageSettings
  /** True for a coarse one that a finer one follows. */
  readonly isPreview: boolean
}

/** The newest coverage of the terrain at hand; null until the first is there. */
export const coverage = signal<Coverage | null>(null)

/** The coverage where it is exact and of everything that is set now; else null. */
export const currentCoverage = computed((): Coverage | null => {
  const [fields, stands] = [coverage.value, surface.value]
  if (!fields || fields.isPreview || !stands || !isSurfaceCurrent.value) return null
  const { settings, ground } = fields
  const isOfGround = ground.bare === stands.bare && ground.covered === stands.covered
  const isCurrent =
    settings === coverageSettings.value && fields.terrain === terrain.value && isOfGround
  return isCurrent ? fields : null
})

/** True while the launch point moves under the hand: then a coarse field is shown first. */
export const launchMoves = signal(false)
let restTimer: ReturnType<typeof setTimeout> | undefined

/** To be called at every move of a dragged launch point; soon after the last the hand rests. */
export function noteLaunchMove(): void {
  launchMoves.value = true
  clearTimeout(restTimer)
  restTimer = setTimeout(() => (launchMoves.value = false), REST_AFTER_MS)
}

/** A hand that has not moved for so long rests. */
const REST_AFTER_MS = 250
/** A terrain of more cells than this is swept coarsely while the launch point moves. */
export const LIVE_CELLS = 400_000
/** Work older than this makes way for newer settings; younger work is let finish. */
const PATIENCE_MS = 100

interface Preview {
  readonly factor: number
  readonly grid: TerrainGrid
  readonly ground: SweepGround
}

/** The terrain in cells wide enough to be swept live; null where its own are. */
const preview = computed((): Preview | null => {
  const [fine, stands] = [terrain.value, surface.value]
  if (!fine || !stands || fine.heights.length <= LIVE_CELLS) return null
  const factor = Math.ceil(Math.sqrt(fine.heights.length / LIVE_CELLS))
  const coarse = coarsen(fine, factor)
  const heights = inSharedMemory(coarse.heights)
  const grid = { ...coarse, heights }
  const level = (values: Float32Array) =>
    values === fine.heights ? heights : inSharedMemory(means(values, fine, factor))
  const bare = level(stands.bare)
  const covered = stands.covered === stands.bare ? bare : level(stands.covered)
  return { factor, grid, ground: { ...grid, bare, covered } }
})

/** The part of the setup that the fields depend on: the same object while none of it changes. */
let lastSettings: CoverageSettings | null = null
const coverageSettings = computed((): CoverageSettings => {
  const { launch, antennaHeightM, radio, radiusM, sector, clearingM } = setup.value
  const settings = { launch, antennaHeightM, radio, radiusM, sector, clearingM }
  const names = Object.keys(settings) as (keyof CoverageSettings)[]
  if (lastSettings && names.every((name) => lastSettings?.[name] === settings[name])) {
    return lastSettings
  }
  return (lastSettings = settings)
})

/** What is to be computed: the newest of these is what the map should show. */
interface Task {
  readonly grid: TerrainGrid
  readonly surface: Surface
  readonly settings: CoverageSettings
  readonly preview: Preview | null
}

const wanted = computed((): Task | null => {
  const [grid, stands, settings] = [terrain.value, surface.value, coverageSettings.value]
  if (!grid || !stands) return null
  return { grid, surface: stands, settings, preview: launchMoves.value ? preview.value : null }
})

interface Running {
  readonly task: Task
  readonly since: number
  readonly abort: AbortController
}
let running: Running | null = null
/** Coverages so far: each has a number of its own, since their memory is used again. */
let serial = 0

/** Computes what is wanted, one task at a time, until nothing newer is. */
async function computeWanted(): Promise<void> {
  const task = wanted.peek()
  if (!task || running) return
  const abort = new AbortController()
  running = { task, since: performance.now(), abort }
  const tracked = trackWork(say('coverage.computingCoverage'), () => abort.abort())
  try {
    const result = await compute(task, abort.signal, tracked.report)
    if (terrain.peek() === task.grid) show(result)
  } catch (error) {
    if (terrain.peek() === task.grid && wanted.peek() === task) {
      // A shading that does not belong to the settings beside it would mislead.
      coverage.value = null
      notice.value = abort.signal.aborted
        ? say('coverage.coverageStoppedMoveLaunch')
        : error instanceof Error
          ? error.message
          : String(error)
    }
  } finally {
    tracked.end()
    running = null
  }
  if (wanted.peek() !== task) void computeWanted()
}

/** By coverage, how many still work on its fields, such as a file being made. */
const held = new Map<number, number>()

/** Works on a coverage while its fields stay as they are. */
export async function whileHeld<T>(fields: Coverage, work: () => Promise<T>): Promise<T> {
  const { id } = fields
  held.set(id, (held.get(id) ?? 0) + 1)
  try {
    return await work()
  } finally {
    const left = (held.get(id) ?? 1) - 1
    if (left > 0) held.set(id, left)
    else held.delete(id)
  }
}

function show(next: Coverage): void {
  const before = coverage.peek()
  coverage.value = next
  if (before && !held.has(before.id)) pool.recycle(before)
}

async function compute(
  task: Task,
  signal: AbortSignal,
  onProgress: (share: number) => void,
): Promise<Coverage> {
  const { grid, settings, preview: coarse } = task
  const prepared = prepareSweep(grid, settings)
  const sweep = coarse ? coarsenSweep(prepared.sweep, coarse.factor) : prepared.sweep
  const ground = coarse?.ground ?? { ...grid, ...task.surface }
  const error = errorM.peek()
  interruptLongJob()
  const { fields, counts, horizon } = await withPool(async () => {
    await useGround(ground)
    const swept = await pool.sweep(sweep, { signal, onProgress })
    const [counted, around] = await Promise.all([
      countClasses(swept, error),
      lookAround(sweep, prepared.northRad),
    ])
    return { fields: swept, counts: counted, horizon: around }
  })
  const frame = coarse?.grid ?? grid
  const about = { id: ++serial, frame, terrain: grid, settings, northRad: prepared.northRad }
  const isPreview = coarse !== null
  return { ...fields, ...about, ground, sweep, counts, errorM: error, horizon, isPreview }
}

/** Counts again when the terrain is taken to err more or less. */
effect(() => {
  const [shown, error] = [coverage.value, errorM.value]
  if (!shown || shown.errorM === error) return
  void countClasses(shown, error).then((counts) => {
    if (coverage.peek() === shown && errorM.peek() === error) {
      coverage.value = { ...shown, counts, errorM: error }
    }
  })
})

effect(() => {
  const task = wanted.value
  if (coverage.peek() && coverage.peek()?.terrain !== terrain.value) coverage.value = null
  if (!running) void computeWanted()
  else if (running.task.grid !== terrain.value) running.abort.abort()
  else if (task && isTooSlowFor(running, task)) running.abort.abort()
})

/** A full sweep gives way to a preview at once, anything to newer settings after a while. */
function isTooSlowFor({ task, since }: Running, next: Task): boolean {
  if (next.preview && !task.preview) return true
  return performance.now() - since > PATIENCE_MS
}
