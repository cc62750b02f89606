import { computed, effect, signal } from '@preact/signals'
import { sweepForPaths, type PathField, type PathRequest } from '../../core/coverage/pathField'
import type { ClearFields } from '../../core/coverage/radialSweep'
import { throwIfCancelled } from '../../core/errors'
import { cellIndex, GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import type { LatLon } from '../../core/geodesy/earth'
import type { Budget } from '../../core/radio/budget'
import type { Link } from '../../core/radio/link'
import { ClassCount, type LinkOverSite } from '../../core/radio/margin'
import { geometryOfPath, linearCase, pathBudget } from '../../core/radio/pathBudget'
import { whatIf, type WhatIf } from '../../core/radio/whatIf'
import { pathProfile, type PathProfile } from '../../core/propagation/path'
import { coverage, LIVE_CELLS, type Coverage } from './coverage'
import { fadeMargins, LINK_NAMES, linkTables, shownLink, type LinkName } from './links'
import { setup } from './setup'
import { profile } from './site'
import { surface } from './surface'
import { shownLayer } from './shown'
import { pool, setLongJob, useGround, withPool } from './sweeping'
import { terrain } from './terrain'
import { say } from '../../core/words/say'
import { notice, orSentence, trackWork } from './work'

/** Path losses of both links over the site, and what they were computed for. */
export interface Margins extends Readonly<Record<LinkName, PathField>> {
  readonly coverage: Coverage
  readonly heightM: number
}

/** The newest there are; they may be of an older flying height for a moment. */
const margins = signal<Margins | null>(null)

/** What of a link its path losses depend on. */
const pathKey = (link: Link) =>
  `${link.frequencyMhz} ${linearCase(link.branches[0].antenna.polarisation)}`
const keys = {
  video: computed(() => pathKey(setup.value.video)),
  control: computed(() => pathKey(setup.value.control)),
}
const height = computed(() => setup.value.flyingHeightM)

interface Task {
  readonly fields: Coverage
  readonly heightM: number
  readonly video: string
  readonly control: string
}

const wanted = computed((): Task | null => {
  const fields = coverage.value
  // Without the signal on the map a preview is not worth the work.
  if (!fields || (fields.isPreview && shownLayer.value !== 'signal')) return null
  return {
    fields,
    heightM: height.value,
    video: keys.video.value,
    control: keys.control.value,
  }
})

/** Work older than this makes way for newer settings; younger work is let finish. */
const PATIENCE_MS = 120
/** Nobody waits for a signal that is not on the map: it comes when the hand rests. */
const REST_MS = 250

interface Running {
  readonly since: number
  readonly abort: AbortController
}
let running: Running | null = null
const kept = new Map<LinkName, { task: Task; paths: PathField }>()

effect(() => {
  const task = wanted.value
  if (running && performance.now() - running.since > PATIENCE_MS) running.abort.abort()
  if (task && !running) schedule()
})

let restTimer: ReturnType<typeof setTimeout> | undefined

/** At once where the map shows the signal, else when nothing has changed for a moment. */
function schedule(): void {
  clearTimeout(restTimer)
  if (shownLayer.peek() === 'signal') void computeWanted()
  else restTimer = setTimeout(() => void computeWanted(), REST_MS)
}

async function computeWanted(): Promise<void> {
  const task = wanted.peek()
  if (!task || running) return
  const abort = new AbortController()
  let isStopped = false
  running = { since: performance.now(), abort }
  if (task.fields.sightM.length > LIVE_CELLS) setLongJob(abort)
  const tracked = trackWork(say('margin.computingSignal'), () => {
    isStopped = true
    abort.abort()
  })
  try {
    const { found, outdated } = await pathsOf(task, abort.signal)
    // What is being counted may be of those outdated.
    const isInUse = isCounting
    if (coverage.peek()?.id === task.fields.id) {
      margins.value = { ...found, coverage: task.fields, heightM: task.heightM }
    }
    if (!isInUse) pool.recyclePaths(outdated)
  } catch (error) {
    if (!(error instanceof DOMException && error.name === 'AbortError')) throw error
    if (isStopped) {
      margins.value = null
      notice.value = say('margin.signalStoppedMoveLaunch')
    }
  } finally {
    tracked.end()
    setLongJob(null)
    running = null
  }
  if (wanted.peek() !== task) schedule()
}

/**
 * Path losses of both links, those at hand where nothing of theirs has changed, and those that they
 * replace.
 */
async function pathsOf(
  task: Task,
  signal: AbortSignal,
): Promise<{ found: Record<LinkName, PathField>; outdated: PathField[] }> {
  const { fields, heightM } = task
  const changed = LINK_NAMES.filter((name) => {
    const before = kept.get(name)?.task
    const isSame = before?.fields.id === fields.id && before.heightM === heightM
    return !isSame || before[name] !== task[name]
  })
  const links = changed.map((name) => setup.peek()[name])
  const fresh = links.length > 0 ? await computePaths(fields, links, heightM, signal) : []
  const outdated = changed.flatMap((name) => kept.get(name)?.paths ?? [])
  fresh.forEach((paths, k) => kept.set(changed[k], { task, paths }))
  const [video, control] = [kept.get('video'), kept.get('control')]
  if (!video || !control) throw new Error('a link has no paths')
  return { found: { video: video.paths, control: control.paths }, outdated }
}

/**
 * Path losses of links over the site of a coverage at one flying height. Throws an abort where it
 * was cancelled or the coverage is no longer shown.
 */
export function computePaths(
  fields: Coverage,
  links: readonly Link[],
  heightM: number,
  signal: AbortSignal,
): Promise<readonly PathField[]> {
  return withPool(async () => {
    throwIfCancelled(signal)
    // Fields that are no longer shown may be written over.
    if (coverage.peek()?.id !== fields.id) throw new DOMException('Outdated.', 'AbortError')
    await useGround(fields.ground)
    const { northRad } = fields
    const own: ClearFields[] = []
    const requests: PathRequest[] = []
    for (const { frequencyMhz, branches } of links) {
      const settings = sweepForPaths(fields.sweep, frequencyMhz)
      const isOwn = settings !== fields.sweep
      const itsFields = isOwn ? await pool.sweep(settings, { signal }) : fields
      if (isOwn) own.push(itsFields)
      const polarisation = linearCase(branches[0].antenna.polarisation)
      const task = { settings, frequencyMhz, polarisation, heightM, northRad }
      requests.push({ task, fields: itsFields })
    }
    const result = await pool.paths(requests, { signal })
    own.forEach((itsFields) => pool.recycle(itsFields))
    return result
  })
}

/** The margins where they belong to the coverage shown; of an older height for a moment. */
export const shownMargins = computed((): Margins | null => {
  const found = margins.value
  return found && found.coverage.id === coverage.value?.id ? found : null
})

/** The margins where they belong to everything that is set. */
const currentMargins = computed((): Margins | null => {
  const found = shownMargins.value
  return found?.heightM === height.value ? found : null
})

/** Margin of a link over a place, dB; null without an answer. */
export function marginAt(name: LinkName, at: LatLon): number | null {
  const found = currentMargins.value
  if (!found) return null
  const { frame } = found.coverage
  const cell = cellIndex(frame, new GridLocator(frame).toGrid(at))
  return cell < 0 ? null : marginOfCell(found, name, cell)
}

function marginOfCell(found: Margins, name: LinkName, cell: number): number | null {
  const { lossDb, directions } = found[name]
  const margin = linkTables[name].value.marginDb[directions[cell]] - lossDb[cell]
  return Number.isNaN(margin) ? null : margin
}

/** Margins of a link along a path, at the flying height, evenly spaced; null without an answer. */
export function marginsAlong(
  name: LinkName,
  { from, to }: PathProfile,
  count: number,
): (number | null)[] {
  const found = currentMargins.value
  if (!found) return []
  const { frame } = found.coverage
  const locator = new GridLocator(frame)
  const [a, b] = [locator.toGrid(from), locator.toGrid(to)]
  return Array.from({ length: count }, (_, i) => {
    const t = i / (count - 1)
    const cell = cellIndex(frame, {
      col: a.col + (b.col - a.col) * t,
      row: a.row + (b.row - a.row) * t,
    })
    return cell < 0 ? null : marginOfCell(found, name, cell)
  })
}

/** The links that the map is about. */
export const linksShown = computed((): readonly LinkName[] =>
  shownLink.value === 'weaker' ? LINK_NAMES : [shownLink.value],
)

/** The links shown, over the site of margins. */
export const overSite = (found: Margins): readonly LinkOverSite[] =>
  linksShown.value.map((name) => ({
    paths: found[name],
    ...linkTables[name].value,
    fadeMarginDb: fadeMargins[name].value,
  }))

/** What is to be counted; null while it is not computed. */
const toCount = computed(() => {
  const found = currentMargins.value
  return found && { terrain: found.coverage.terrain, links: overSite(found) }
})

/** More cells than this are counted by every second, third and so on. */
const MOST_COUNTED = 1_500_000
/** The window gets its turn after so many cells. */
const COUNTED_A_TURN = 200_000

const counted = signal<{ terrain: TerrainGrid; shares: readonly number[] } | null>(null)
let isCounting = false

/**
 * Shares of the signal classes over the site, worst link first where both are shown; those of a
 * moment ago while they are counted.
 */
export const marginShares = computed((): readonly number[] | null => {
  const [wanted, found] = [toCount.value, counted.value]
  return wanted?.terrain === found?.terrain ? (found?.shares ?? null) : null
})

effect(() => {
  if (toCount.value && !isCounting) void countShares()
})

/** Counts what is shown, and again where that has changed meanwhile. */
async function countShares(): Promise<void> {
  isCounting = true
  let done: typeof toCount.value = null
  for (let task = toCount.peek(); task && task !== done; task = toCount.peek()) {
    const { terrain, links } = task
    const count = new ClassCount(links, Math.ceil(links[0].paths.lossDb.length / MOST_COUNTED))
    while (count.goOn(COUNTED_A_TURN)) await new Promise((resolve) => setTimeout(resolve))
    counted.value = { terrain, shares: count.shares }
    done = task
  }
  isCounting = false
}

/** The budget of a link toward the target. */
export const budgets = {
  video: computed(() => budgetOf('video')),
  control: computed(() => budgetOf('control')),
}

function budgetOf(name: LinkName): Budget | null {
  const path = profile.value
  if (!path || typeof path === 'string' || path.crossesVoid) return null
  const { radio, foliage } = setup.value
  return pathBudget(path, setup.value[name], radio.kFactor, foliage)
}

/** What would bring a link to its wanted margin at the target; null where it has it. */
export const helps = {
  video: computed(() => helpOf('video')),
  control: computed(() => helpOf('control')),
}

function helpOf(name: LinkName): WhatIf | null {
  const [path, grid, stands] = [profile.value, terrain.value, surface.value]
  if (!path || typeof path === 'string' || path.crossesVoid || !grid || !stands) return null
  const link = setup.value[name]
  const { radio, foliage, clearingM, flyingHeightM } = setup.value
  const budget = budgets[name].value
  if (!budget || budget.marginDb >= link.fadeMarginDb) return null
  const at = (heightM: number): PathProfile =>
    pathProfile(grid, path.from, { ...path.to, heightM }, radio, { ...stands, clearingM })
  const marginOf = (its: PathProfile, changed: Link) =>
    pathBudget(its, changed, radio.kFactor, foliage).marginDb
  const found = orSentence(() =>
    whatIf(link, geometryOfPath(path, radio.kFactor), flyingHeightM, at, marginOf),
  )
  return typeof found === 'string' ? null : found
}
