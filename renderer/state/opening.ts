import { computed, signal } from '@preact/signals'
import { proxy } from 'comlink'
import type { LatLon } from '../../core/geodesy/earth'
import type { GridFrame } from '../../core/terrain/grid'
import type { SiteWish } from '../../core/terrain/siteFrame'
import type { TerrainSource } from '../../core/terrain/source'
import type { Assumptions } from '../../core/terrain/terrainFile'
import type { Looked } from '../workers/terrain.worker'
import { beginInTheMiddle } from './demo'
import { setup } from './setup'
import { takeTerrain } from './site'
import { origin, requestFor, terrainWorker, type SiteOrigin } from './terrain'
import { say } from '../../core/words/say'
import { notice, orSentence, trackWork } from './work'

/** Terrain files looked at, of which a site is to be cut. */
export interface Opening extends SiteOrigin {
  readonly looked: Looked
  /** True where the terrain at hand is cut anew and the plan stays. */
  readonly isAgain: boolean
  /** Why the site could not be opened; null while nothing went wrong. */
  readonly problem: string | null
}

export const opening = signal<Opening | null>(null)

/** Readings of the sheet's files under way: a newer one cancels an older, which ends a little later. */
const readings = signal(0)
export const isReading = computed(() => readings.value > 0)

/** The grid that the site would have, or why there can be none; null until it is known. */
export const openingFrame = signal<GridFrame | string | null>(null)

/** Looks at files the pilot chose; the sheet on them opens, or a notice says what is wrong. */
export async function lookAtFiles(sources: readonly TerrainSource[]): Promise<void> {
  if (sources.length === 0) return
  const said = opening.peek()?.request.assume
  await look({ request: requestFor(sources, said), wish: {}, fillUpToCells: 0 }, { isAgain: false })
}

/** Opens the sheet on the terrain at hand, to cut another window. */
export async function cutAnew(): Promise<void> {
  const from = origin.peek()
  if (from) await look(from, { isAgain: true, keepWish: true, around: setup.peek().launch })
}

/** Looks again at the files of the sheet, with something said of them that they do not say. */
export async function assume(part: Assumptions): Promise<void> {
  const { request, isAgain, ...rest } = opening.peek()!
  const said = { ...request, assume: { ...request.assume, ...part } }
  await look({ ...rest, request: said }, { isAgain, keepWish: rest.looked.look !== null })
}

async function look(
  { request, wish, fillUpToCells }: SiteOrigin,
  how: { isAgain: boolean; keepWish?: boolean; around?: LatLon },
): Promise<void> {
  const { isAgain, keepWish = false, around } = how
  notice.value = null
  const { sources } = request
  const label =
    sources.length > 1 ? say('common.files', { sources: sources.length }) : sources[0].name
  const outcome = await reading(say('opening.looking', { label }), async (report) =>
    terrainWorker.look(request, around, report),
  )
  const before = opening.peek()
  if (outcome.kind === 'cancelled') return
  if (outcome.kind === 'failed') {
    if (before) opening.value = { ...before, problem: outcome.sentence }
    else notice.value = outcome.sentence
    return
  }
  const looked = outcome.value
  if (!before && !looked.look && looked.refused.every(({ lacks }) => lacks === null)) {
    const [first, ...more] = looked.refused
    notice.value =
      first.sentence +
      (more.length > 0
        ? say('opening.neitherCan', {
            more: more
              .map(({ name }) => say('opening.quoted', { name }))
              .slice(0, 3)
              .join(', '),
            what: more.length > 3 ? say('common.more', { more: more.length - 3 }) : '',
          })
        : '')
    return
  }
  const chosen = keepWish ? wish : (looked.look?.suggestion ?? {})
  opening.value = { request, looked, wish: chosen, fillUpToCells, isAgain, problem: null }
  await findFrame()
}

/** Work of the terrain worker, shown and stoppable. */
async function reading<T>(
  label: string,
  work: (report: (share: number) => void) => Promise<T>,
): Promise<T> {
  const tracked = trackWork(label, () => void terrainWorker.cancel())
  readings.value++
  try {
    return await work(proxy(tracked.report))
  } finally {
    tracked.end()
    readings.value--
  }
}

/** Takes another window or cell into the sheet. */
export function wishFor(wish: SiteWish): void {
  opening.value = { ...opening.peek()!, wish, problem: null }
  void findFrame()
}

export function fillUpTo(fillUpToCells: number): void {
  opening.value = { ...opening.peek()!, fillUpToCells, problem: null }
}

async function findFrame(): Promise<void> {
  const { wish, looked } = opening.peek()!
  if (!looked.look) {
    openingFrame.value = null
    return
  }
  const outcome = await terrainWorker.frame(wish)
  if (opening.peek()?.wish !== wish) return
  if (outcome.kind === 'done') openingFrame.value = outcome.value
  if (outcome.kind === 'failed') openingFrame.value = outcome.sentence
}

export function closeOpening(): void {
  void terrainWorker.cancel()
  opening.value = openingFrame.value = null
}

/** Reads the site of the sheet and goes over to it; the sheet stays where that fails. */
export async function finishOpening(): Promise<void> {
  const wanted = opening.peek()!
  const { request, wish, fillUpToCells, isAgain } = wanted
  opening.value = { ...wanted, problem: null }
  const outcome = await reading(say('opening.readingSite'), async (report) =>
    terrainWorker.read({ ...wish, fillUpToCells }, report),
  )
  if (outcome.kind === 'cancelled' || !opening.peek()) return
  const problem =
    outcome.kind === 'failed'
      ? outcome.sentence
      : orSentence(() => {
          const begin = isAgain ? null : beginInTheMiddle(outcome.value)
          takeTerrain(outcome.value, { request, wish, fillUpToCells }, begin)
          return null
        })
  opening.value = problem === null ? null : { ...wanted, problem }
}
