import { effect, signal } from '@preact/signals'
import { titleOf, type BriefWords } from '../../core/brief/words'
import type { PathField } from '../../core/coverage/pathField'
import { throwIfCancelled } from '../../core/errors'
import { LANDED_HEIGHT_M } from '../../core/landing/landing'
import type { Link } from '../../core/radio/link'
import { whenWords } from '../../core/words/moment'
import { host } from '../host/host'
import type { BriefWorker } from '../workers/brief.worker'
import { currentCoverage, whileHeld, type Coverage } from './coverage'
import { computePaths } from './margin'
import { saved } from './planText'
import { preferences } from './preferences'
import { setup } from './setup'
import { surface } from './surface'
import { errorM, terrain } from './terrain'
import { lateThread } from './threads'
import { say } from '../../core/words/say'
import { notice, trackWork } from './work'

const thread = lateThread<BriefWorker>(
  () => new Worker(new URL('../workers/brief.worker.ts', import.meta.url), { type: 'module' }),
)

/** The brief being looked at: its text, or why there is none; null while its sheet is closed. */
export interface OpenBrief {
  readonly html: string | null
  readonly problem: string | null
  /** True while a newer text is being made. */
  readonly isStale: boolean
}

export const openBrief = signal<OpenBrief | null>(null)

const CLOSED: OpenBrief = { html: null, problem: null, isStale: true }
/** The brief being made; a newer one stops it. */
let making: AbortController | null = null

/** Shows the brief of the plan as it is, made anew. */
export async function showBrief(): Promise<void> {
  making?.abort()
  const abort = (making = new AbortController())
  openBrief.value = { ...(openBrief.peek() ?? CLOSED), isStale: true }
  const tracked = trackWork(say('brief.makingFieldBrief'), () => abort.abort())
  try {
    const answer = await makeBrief(abort.signal)
    if (making === abort) openBrief.value = { ...answer, isStale: false }
  } catch (error) {
    if (!(error instanceof DOMException && error.name === 'AbortError')) throw error
    if (making === abort) {
      openBrief.value = {
        html: null,
        problem: say('brief.briefStoppedMakeAgain'),
        isStale: false,
      }
    }
  } finally {
    tracked.end()
  }
}

export function closeBrief(): void {
  making?.abort()
  making = null
  // On a large site these are hundreds of megabytes.
  keptPaths = null
  openBrief.value = null
}

/** Nobody waits longer than this for a coverage, milliseconds. */
const COVERAGE_TIMEOUT_MS = 60_000

/** The coverage of all that is set, once it is there; null where it does not come. */
function settledCoverage(signal: AbortSignal): Promise<Coverage | null> {
  return new Promise((resolve) => {
    const end = (found: Coverage | null) => {
      clearTimeout(timer)
      // Not before the effect has its name.
      queueMicrotask(() => stop())
      resolve(found)
    }
    const timer = setTimeout(() => end(null), COVERAGE_TIMEOUT_MS)
    signal.addEventListener('abort', () => end(null), { once: true })
    const stop = effect(() => {
      if (currentCoverage.value) end(currentCoverage.value)
    })
  })
}

/** Path losses at the ground, kept while only words of a brief change. */
let keptPaths: {
  readonly coverage: number
  readonly link: Link
  readonly paths: PathField
} | null = null

async function makeBrief(signal: AbortSignal): Promise<Omit<OpenBrief, 'isStale'>> {
  const fields = await settledCoverage(signal)
  throwIfCancelled(signal)
  const [grid, stands] = [terrain.peek(), surface.peek()]
  if (!fields || !grid || !stands) {
    return {
      html: null,
      problem: say('brief.thereNoCoveragePlan'),
    }
  }
  const { target, ...plan } = setup.peek()
  return whileHeld(fields, async () => {
    if (keptPaths?.coverage !== fields.id || keptPaths.link !== plan.video) {
      const [paths] = await computePaths(fields, [plan.video], LANDED_HEIGHT_M, signal)
      keptPaths = { coverage: fields.id, link: plan.video, paths }
    }
    const { sightM, fresnelM, edge } = fields
    const outcome = await thread().brief(
      {
        site: { terrain: grid, surface: stands },
        plan,
        target,
        pictures: { fields: { sightM, fresnelM, edge }, paths: keptPaths.paths },
        errorM: errorM.peek(),
      },
      wordsOf(),
    )
    if (outcome.kind === 'done') return { html: outcome.value, problem: null }
    const problem = outcome.kind === 'failed' ? outcome.sentence : say('brief.briefStopped')
    return { html: null, problem }
  })
}

function wordsOf(): BriefWords {
  const { units, coordinateStyle, paper } = preferences.peek()
  const title = titleOf(setup.peek(), saved.peek()?.name ?? '')
  return { units, coordinateStyle, paper, title, madeAt: whenWords(new Date()) }
}

/** The suggested name of a brief's file. */
export function briefName(ending: string): string {
  const title = titleOf(setup.peek(), saved.peek()?.name ?? '')
  const plain = title.replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '')
  return `${plain || 'plan'}-brief.${ending}`.toLowerCase()
}

/** Saves the brief as one HTML file. */
export async function saveBrief(): Promise<void> {
  const html = openBrief.peek()?.html
  if (!html) return
  const name = briefName('html')
  await orNotice(name, () => host.saveFile(name, new TextEncoder().encode(html)))
}

/** Saves the brief as PDF, where the host can make one. */
export async function saveBriefPdf(): Promise<void> {
  const html = openBrief.peek()?.html
  const { savePdf } = host
  if (!html || !savePdf) return
  const name = briefName('pdf')
  await orNotice(name, () => savePdf(name, html))
}

async function orNotice(name: string, save: () => Promise<unknown>): Promise<void> {
  try {
    await save()
    notice.value = null
  } catch (error) {
    notice.value = say('brief.couldNotSavedChoose', {
      name,
      what: error instanceof Error ? error.message : String(error),
    })
  }
}
