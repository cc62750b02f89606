import { signal } from '@preact/signals'
import { proxy } from 'comlink'
import type { TextFile } from '../../core/host'
import { isSameTerrain, type PlanDocument, type TerrainReference } from '../../core/plan/plan'
import { readPlan } from '../../core/plan/planFile'
import { resolveEnd } from '../../core/propagation/path'
import { GridLocator } from '../../core/terrain/grid'
import type { TerrainSource } from '../../core/terrain/source'
import { host } from '../host/host'
import type { ReadTerrain } from '../workers/terrain.worker'
import { beginOnDemo, DEMO_SOURCE } from './demo'
import { putAside, startDrafts, type Draft } from './drafts'
import { planText, saved, takeAsSaved, takeAsUnsaved, terrainReference } from './planText'
import { keepAside, remember } from './recentPlans'
import { changeSetup, DEFAULT_SETUP } from './setup'
import { takeTerrain } from './site'
import { locator, origin, requestFor, terrain, terrainFiles, terrainWorker } from './terrain'
import type { TerrainRequest } from '../workers/terrain.worker'
import { say } from '../../core/words/say'
import { notice, orSentence, trackWork } from './work'

/** A plan whose terrain is not at hand. */
export interface WaitingPlan {
  readonly document: PlanDocument & { readonly terrain: TerrainReference }
  readonly name: string
  readonly isFile: boolean
  /** Files the pilot offered that are others than the plan's, read; null before. */
  readonly other: { readonly read: ReadTerrain; readonly request: TerrainRequest } | null
}

export const waitingPlan = signal<WaitingPlan | null>(null)

/** Plans opened so far. */
let openings = 0

/**
 * Begins with the demo, and offers what was not saved last time.
 * @param onReady called once there is a terrain that files can be laid on
 */
export async function begin(onReady: () => void): Promise<void> {
  await openDemo()
  onReady()
  await startDrafts()
}

/** Opens the embedded demo site. */
export async function openDemo(): Promise<void> {
  const request = requestFor([DEMO_SOURCE])
  const read = await readSite(request, { fillUpToCells: 0 })
  if (read) takeTerrain(read, { request, wish: {}, fillUpToCells: 0 }, beginOnDemo(read))
}

/** Saves the plan where the pilot wants it. */
export async function savePlan(): Promise<void> {
  const [text, before] = [planText.peek(), saved.peek()]
  try {
    const bytes = new TextEncoder().encode(text)
    const savedAs = await host.saveFile(before?.name ?? 'plan.geojson', bytes)
    if (savedAs === null) return
    remember(savedAs, text, true)
    // Another plan may have come to hand meanwhile.
    if (saved.peek() !== before) return
    // What was changed since the file was made is not in it.
    takeAsSaved(savedAs, text)
    notice.value = null
  } catch (error) {
    notice.value = say('planFile.planCouldNotSaved', {
      what: error instanceof Error ? error.message : String(error),
    })
  }
}

/** Lets the pilot choose a plan and opens it. */
export async function choosePlan(): Promise<void> {
  const file = await host.openText(say('common.plan'), ['geojson', 'json'])
  if (file) await openPlan(file)
}

/**
 * Opens a plan: on the terrain at hand where it was made on that, else on its own, which is found
 * again or asked for. Whatever was at hand stays among the recent plans.
 */
export async function openPlan({ text, name }: TextFile, isFile = true): Promise<boolean> {
  notice.value = null
  const found = orSentence(() => ({ document: readPlan(text, name) }))
  if (typeof found === 'string') {
    notice.value = found
    return false
  }
  const { document } = found
  const reference = document.terrain
  const opening = ++openings
  if (!reference || isAtHand(reference)) return layOnThis(document, name, isFile)
  const sources = await findTerrain(reference)
  const read = sources && (await readSite(requestFor(sources, reference.assume), reference))
  // Another plan was opened meanwhile.
  if (opening !== openings) return false
  const plan = { document: { ...document, terrain: reference }, name, isFile, other: null }
  if (sources && read && isSameTerrain(read.files, reference.files)) {
    return goOver(plan, read, requestFor(sources, reference.assume))
  }
  waitingPlan.value = plan
  return false
}

/** True where the very part of the files that a plan was made on is at hand. */
function isAtHand(reference: TerrainReference): boolean {
  const here = terrainReference.peek()
  const cut = ({ window, cellM, fillUpToCells, assume }: TerrainReference) =>
    JSON.stringify([
      window ?? null,
      cellM ?? null,
      fillUpToCells,
      assume.epsg ?? null,
      assume.heightUnitM ?? null,
      assume.missing ?? [],
    ])
  return here !== null && isSameTerrain(here.files, reference.files) && cut(here) === cut(reference)
}

/** Where a plan's files may be had without asking; null where they may not. */
async function findTerrain(reference: TerrainReference): Promise<readonly TerrainSource[] | null> {
  const from = origin.peek()
  if (from && isSameTerrain(terrainFiles.peek(), reference.files)) return from.request.sources
  if (reference.files.length === 1 && reference.files[0].name === DEMO_SOURCE.name) {
    return [DEMO_SOURCE]
  }
  return host.findTerrain(reference.files)
}

async function readSite(
  request: TerrainRequest,
  { window, cellM, fillUpToCells }: Pick<TerrainReference, 'window' | 'cellM' | 'fillUpToCells'>,
): Promise<ReadTerrain | null> {
  notice.value = null
  const { sources } = request
  const label =
    sources.length > 1 ? say('common.files', { sources: sources.length }) : sources[0].name
  const tracked = trackWork(say('planFile.reading', { label }), () => void terrainWorker.cancel())
  const wish = { window, cellM, fillUpToCells }
  const outcome = await terrainWorker.openAndRead(request, wish, proxy(tracked.report))
  tracked.end()
  if (outcome.kind === 'failed') notice.value = outcome.sentence
  return outcome.kind === 'done' ? outcome.value : null
}

/** Goes over to a plan together with its terrain. */
function goOver(
  { document, name, isFile }: Pick<WaitingPlan, 'document' | 'name' | 'isFile'>,
  read: ReadTerrain,
  request: TerrainRequest,
): boolean {
  const { window, cellM, fillUpToCells } = document.terrain
  const isDemo = request.sources[0] === DEMO_SOURCE && !window && !cellM
  const refusal = orSentence(() => {
    const { plan } = document
    const place = { ...plan.launch, label: say('planFile.launchPoint', { name }), heightM: 0 }
    resolveEnd(read.grid, new GridLocator(read.grid), place)
    const begin = { ...(isDemo ? beginOnDemo(read) : {}), setup: { ...DEFAULT_SETUP, ...plan } }
    takeTerrain(read, { request, wish: { window, cellM }, fillUpToCells }, begin)
    return null
  })
  notice.value = refusal
  if (refusal !== null) return false
  waitingPlan.value = null
  opened(name, isFile)
  return true
}

/** Lays a plan on the terrain at hand. */
function layOnThis(document: PlanDocument, name: string, isFile: boolean): boolean {
  const { plan } = document
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place) {
    notice.value = say('common.noTerrainYet')
    return false
  }
  const refusal = orSentence(() => {
    // A plan for another site would leave the map without a launch point.
    const label = say('planFile.launchPoint', { name })
    resolveEnd(grid, place, { ...plan.launch, label, heightM: plan.antennaHeightM })
    return null
  })
  notice.value = refusal
  if (refusal !== null) return false
  waitingPlan.value = null
  keepAside()
  changeSetup({ ...plan, unknown: plan.unknown, target: null, reading: null })
  // On other ground the plan is another one than its file's.
  opened(name, isFile && (document.terrain === null || isAtHand(document.terrain)))
  return true
}

function opened(name: string, isFile: boolean): void {
  if (!isFile) {
    takeAsUnsaved(name)
    return
  }
  takeAsSaved(name, planText.peek())
  remember(name, planText.peek(), true)
}

/** Takes files the pilot chose for a waiting plan; where they are others, the sheet says so. */
export async function chooseTerrainForPlan(): Promise<void> {
  const sources = await host.openTerrain()
  const waiting = waitingPlan.peek()
  if (!waiting || sources.length === 0) return
  const { terrain: reference } = waiting.document
  const request = requestFor(sources, reference.assume)
  const read = await readSite(request, reference)
  if (!read || waitingPlan.peek() !== waiting) return
  if (isSameTerrain(read.files, reference.files)) goOver(waiting, read, request)
  else waitingPlan.value = { ...waiting, other: { read, request } }
}

/** Opens a waiting plan on the other files all the same. */
export function useOtherTerrain(): void {
  const waiting = waitingPlan.peek()
  if (waiting?.other) goOver(waiting, waiting.other.read, waiting.other.request)
}

/** Opens a waiting plan on the terrain at hand. */
export function useTerrainAtHand(): void {
  const waiting = waitingPlan.peek()
  if (waiting) layOnThis(waiting.document, waiting.name, waiting.isFile)
}

/** Goes on with a plan that was not saved last time. */
export async function continueDraft(draft: Draft): Promise<void> {
  if (await openPlan({ text: draft.text, name: draft.name }, false)) await putAside(draft)
}
