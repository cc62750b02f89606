import { computed, effect, signal } from '@preact/signals'
import { prepareSweep, type CoverageSettings } from '../../core/coverage/clearHeights'
import type { ClearCounts } from '../../core/coverage/shares'
import type { FieldPair } from '../../core/coverage/sweepThread'
import { coarsenSweep } from '../../core/coverage/coarsenSweep'
import { coarsen } from '../../core/terrain/coarsen'
import type { GridFrame, TerrainGrid } from '../../core/terrain/grid'
import { setup } from './setup'
import { terrain } from './site'
import { countClasses, inSharedMemory, pool } from './sweeping'
import { notice, trackWork } from './work'

/** Both fields of a launch point, and the grid they are on: the terrain's, or a coarser one. */
export interface Coverage extends FieldPair {
  readonly frame: GridFrame
  readonly counts: ClearCounts
}

/** The newest coverage of the terrain at hand; null until the first is there. */
export const coverage = signal<Coverage | null>(null)

/** True while the launch point is dragged: then a coarse field is shown first. */
export const launchIsDragged = signal(false)

/** A terrain of more cells than this is swept coarsely while the launch point is dragged. */
const LIVE_CELLS = 1_200_000
/** Work older than this makes way for newer settings; younger work is let finish. */
const PATIENCE_MS = 100

interface Preview {
  readonly factor: number
  readonly ground: TerrainGrid
}

/** The terrain in cells wide enough to be swept live; null where its own are. */
const preview = computed((): Preview | null => {
  const grid = terrain.value
  if (!grid || grid.heights.length <= LIVE_CELLS) return null
  const factor = Math.ceil(Math.sqrt(grid.heights.length / LIVE_CELLS))
  const ground = coarsen(grid, factor)
  return { factor, ground: { ...ground, heights: inSharedMemory(ground.heights) } }
})

/** What is to be computed: the newest of these is what the map should show. */
interface Task {
  readonly grid: TerrainGrid
  readonly settings: CoverageSettings
  readonly preview: Preview | null
}

const wanted = computed((): Task | null => {
  const grid = terrain.value
  if (!grid) return null
  const { launch, antennaHeightM, radio, radiusM, sector } = setup.value
  const settings = { launch, antennaHeightM, radio, radiusM, sector }
  return { grid, settings, preview: launchIsDragged.value ? preview.value : null }
})

interface Running {
  readonly task: Task
  readonly since: number
  readonly abort: AbortController
}
let running: Running | null = null
/** What the pool's threads have as their ground. */
let groundOfPool: TerrainGrid | null = null

/** Computes what is wanted, one task at a time, until nothing newer is. */
async function computeWanted(): Promise<void> {
  const task = wanted.peek()
  if (!task || running) return
  const abort = new AbortController()
  running = { task, since: performance.now(), abort }
  const tracked = trackWork('Computing coverage', () => abort.abort())
  try {
    const result = await compute(task, abort.signal, tracked.report)
    if (terrain.peek() === task.grid) coverage.value = result
  } catch (error) {
    if (terrain.peek() === task.grid && wanted.peek() === task) {
      // A shading that does not belong to the settings beside it would mislead.
      coverage.value = null
      notice.value = abort.signal.aborted
        ? 'The coverage was stopped; move the launch point or change a setting to compute it.'
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

async function compute(
  task: Task,
  signal: AbortSignal,
  onProgress: (share: number) => void,
): Promise<Coverage> {
  const { grid, settings, preview: coarse } = task
  const { sweep } = prepareSweep(grid, settings)
  const ground = coarse?.ground ?? grid
  if (groundOfPool !== ground) {
    await pool.setGround(ground)
    groundOfPool = ground
  }
  const fields = await pool.sweep(coarse ? coarsenSweep(sweep, coarse.factor) : sweep, {
    signal,
    onProgress,
  })
  return { ...fields, frame: ground, counts: await countClasses(fields) }
}

effect(() => {
  const task = wanted.value
  if (coverage.peek() && !isOf(coverage.peek(), task?.grid)) coverage.value = null
  if (!running) void computeWanted()
  else if (running.task.grid !== task?.grid || isTooSlowFor(running, task)) running.abort.abort()
})

function isOf(shown: Coverage | null, grid: TerrainGrid | undefined): boolean {
  return shown?.frame === grid || shown?.frame === preview.peek()?.ground
}

/** A full sweep gives way to a preview at once, anything to newer settings after a while. */
function isTooSlowFor({ task, since }: Running, next: Task): boolean {
  if (next.preview && !task.preview) return true
  return performance.now() - since > PATIENCE_MS
}
