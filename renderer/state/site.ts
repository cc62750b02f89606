import { proxy, wrap } from 'comlink'
import { batch, computed, effect, signal } from '@preact/signals'
import { PilotError } from '../../core/errors'
import type { LatLon } from '../../core/geodesy/earth'
import { ClearCounts } from '../../core/coverage/shares'
import type { CoverageSettings } from '../../core/coverage/clearHeights'
import { pathProfile, resolveEnd, type PathProfile } from '../../core/propagation/path'
import type { TerrainSource } from '../../core/terrain/geotiff'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import type { Coverage, CoverageWorker } from '../workers/coverage.worker'
import type { ReliefWorker } from '../workers/relief.worker'
import type { TerrainWorker } from '../workers/terrain.worker'
import { changeSetup, setup, setupHistory, type Setup } from './setup'

const terrainWorker = wrap<TerrainWorker>(
  new Worker(new URL('../workers/terrain.worker.ts', import.meta.url), { type: 'module' }),
)
const coverageWorker = wrap<CoverageWorker>(
  new Worker(new URL('../workers/coverage.worker.ts', import.meta.url), { type: 'module' }),
)
export const reliefWorker = wrap<ReliefWorker>(
  new Worker(new URL('../workers/relief.worker.ts', import.meta.url), { type: 'module' }),
)

/** A place of the demo site with a name. */
export interface NamedPlace extends LatLon {
  readonly name: string
  readonly kind: string
}

/** What to begin with on a terrain just opened. */
export interface Beginning {
  readonly setup: Setup
  readonly places?: readonly NamedPlace[]
  /** How far around the launch point the map first shows, metres; the whole site if not given. */
  readonly firstViewM?: number
}

/** The terrain at hand, and its named places where it has any. */
export const terrain = signal<TerrainGrid | null>(null)
export const places = signal<readonly NamedPlace[]>([])
export const firstViewM = signal<number | null>(null)
export const locator = computed(() => terrain.value && new GridLocator(terrain.value))

/** Both fields of the newest coverage; null until the first is there. */
export const coverage = signal<Coverage | null>(null)

/** Longer work under way, for the progress display. */
export interface Work {
  readonly label: string
  readonly share: number
  readonly cancel: () => void
}
export const work = signal<Work | null>(null)

/** Work shorter than this shows no progress. */
const PROGRESS_AFTER_MS = 400

/**
 * Shows the progress of one piece of work until it ends. Reports come on a channel of their own
 * and may arrive after the end: those count no more.
 */
function trackWork(label: string, cancel: () => void) {
  const since = performance.now()
  let ended = false
  return {
    report(share: number): void {
      if (ended || performance.now() - since < PROGRESS_AFTER_MS) return
      work.value = { label, share, cancel }
    },
    end(): void {
      ended = true
      if (work.peek()?.cancel === cancel) work.value = null
    },
  }
}

/** A sentence the pilot should read: what went wrong, or null. */
export const notice = signal<string | null>(null)

/** Grid cell under the pointer on the map. */
export const pointer = signal<LatLon | null>(null)
/** Sample of the profile that is pointed at, on the chart or by key. */
export const profileSample = signal<number | null>(null)

/** The path from the launch point to the target, or why there is none. */
export const profile = computed((): PathProfile | string | null => {
  const { launch, antennaHeightM, target, flyingHeightM, radio } = setup.value
  if (!terrain.value || !target) return null
  return orSentence(() =>
    pathProfile(
      terrain.value!,
      { ...launch, label: 'launch point', heightM: antennaHeightM },
      { ...target, label: 'target', heightM: flyingHeightM },
      radio,
    ),
  )
})

/** Runs something that may refuse, and gives its sentence instead. */
function orSentence<T>(run: () => T): T | string {
  try {
    return run()
  } catch (error) {
    if (error instanceof PilotError) return error.message
    throw error
  }
}

/**
 * Opens a terrain. Whatever was on screen stays until the new one is ready, and for good when
 * it is refused.
 * @param begin what to begin with on it
 */
export async function openTerrain(
  source: TerrainSource,
  begin: (terrain: TerrainGrid) => Beginning,
): Promise<void> {
  notice.value = null
  const tracked = trackWork(`Reading ${source.name}`, () => void terrainWorker.cancel())
  const outcome = await terrainWorker.read(
    source,
    new URL('epsg.json', document.baseURI).href,
    proxy(tracked.report),
  )
  tracked.end()
  if (outcome.kind === 'failed') notice.value = outcome.sentence
  if (outcome.kind !== 'done') return
  const grid = outcome.value
  await Promise.all([coverageWorker.setTerrain(grid), reliefWorker.setTerrain(grid)])
  const start = begin(grid)
  batch(() => {
    coverage.value = null
    profileSample.value = null
    pointer.value = null
    places.value = start.places ?? []
    firstViewM.value = start.firstViewM ?? null
    setupHistory.reset(start.setup)
    terrain.value = grid
  })
}

/** Moves the launch point if the terrain has ground there; says so and stays if not. */
export function moveLaunch(launch: LatLon, gesture: string | null = null): boolean {
  return movePoint('launch point', launch, () => changeSetup({ launch }, gesture))
}

export function moveTarget(target: LatLon, gesture: string | null = null): boolean {
  return movePoint('target', target, () => changeSetup({ target }, gesture))
}

function movePoint(label: string, point: LatLon, move: () => void): boolean {
  if (!terrain.value || !locator.value) return false
  const [grid, place] = [terrain.value, locator.value]
  const refusal = orSentence(() => {
    resolveEnd(grid, place, { ...point, label, heightM: 0 })
    return null
  })
  notice.value = refusal
  if (refusal === null) move()
  return refusal === null
}

/** Settings of the coverage on screen or under way; only these make it worth computing again. */
const coverageSettings = computed((): CoverageSettings | null => {
  if (!terrain.value) return null
  const { launch, antennaHeightM, radio } = setup.value
  return { launch, antennaHeightM, radio, radiusM: null }
})

/** A computation older than this makes way for a newer setting; a younger one may finish. */
const PATIENCE_MS = 250
let computing: { since: number; key: string; grid: TerrainGrid } | null = null
let waiting = false

async function computeCoverage(): Promise<void> {
  const settings = coverageSettings.peek()
  const grid = terrain.peek()
  if (!settings || !grid) return
  const key = JSON.stringify(settings)
  if (computing) {
    waiting = key !== computing.key || grid !== computing.grid
    if (waiting && performance.now() - computing.since > PATIENCE_MS) void coverageWorker.cancel()
    return
  }
  computing = { since: performance.now(), key, grid }
  const tracked = trackWork('Computing coverage', () => void coverageWorker.cancel())
  const outcome = await coverageWorker.compute(settings, proxy(tracked.report))
  tracked.end()
  computing = null
  if (outcome.kind === 'failed') notice.value = outcome.sentence
  if (outcome.kind === 'cancelled' && !waiting && grid === terrain.peek()) {
    notice.value =
      'The coverage was stopped; move the launch point or change a setting to compute it.'
  }
  // A shading that does not belong to the settings beside it would mislead.
  if (outcome.kind !== 'done' && !waiting) coverage.value = null
  if (outcome.kind === 'done' && grid === terrain.peek()) {
    coverage.value = { ...outcome.value, counts: ClearCounts.revive(outcome.value.counts) }
  }
  if (waiting) {
    waiting = false
    void computeCoverage()
  }
}

effect(() => {
  if (coverageSettings.value) void computeCoverage()
})
