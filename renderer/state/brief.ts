import { signal } from '@preact/signals'
import { wrap } from 'comlink'
import { titleOf, type BriefWords } from '../../core/brief/words'
import { LANDED_HEIGHT_M } from '../../core/landing/landing'
import { whenWords } from '../../core/words/moment'
import { host } from '../host/host'
import type { BriefWorker } from '../workers/brief.worker'
import { coverage, whileHeld } from './coverage'
import { computePaths } from './margin'
import { saved } from './planText'
import { preferences } from './preferences'
import { setup } from './setup'
import { surface } from './surface'
import { errorM, terrain } from './terrain'
import { notice, trackWork } from './work'

const thread = wrap<BriefWorker>(
  new Worker(new URL('../workers/brief.worker.ts', import.meta.url), { type: 'module' }),
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
let serial = 0

/** Shows the brief of the plan as it is, made anew. */
export async function showBrief(): Promise<void> {
  const number = ++serial
  openBrief.value = { ...(openBrief.peek() ?? CLOSED), isStale: true }
  const answer = await makeBrief()
  if (number !== serial || !openBrief.peek()) return
  openBrief.value = { ...answer, isStale: false }
}

export function closeBrief(): void {
  serial++
  openBrief.value = null
}

async function makeBrief(): Promise<Omit<OpenBrief, 'isStale'>> {
  const [grid, stands, fields] = [terrain.peek(), surface.peek(), coverage.peek()]
  const failed = (problem: string) => ({ html: null, problem })
  if (!grid || !stands || !fields || fields.isPreview) {
    return failed('The coverage is still being computed; wait for it and make the brief again.')
  }
  const { target, ...plan } = setup.peek()
  const abort = new AbortController()
  const tracked = trackWork('Making the field brief', () => abort.abort())
  try {
    return await whileHeld(fields, async () => {
      const paths = await computePaths(fields, plan.video, LANDED_HEIGHT_M, abort.signal)
      const { sightM, fresnelM, edge } = fields
      const outcome = await thread.brief(
        {
          site: { terrain: grid, surface: stands },
          plan,
          target,
          pictures: { fields: { sightM, fresnelM, edge }, paths },
          errorM: errorM.peek(),
        },
        wordsOf(),
      )
      if (outcome.kind === 'done') return { html: outcome.value, problem: null }
      return failed(outcome.kind === 'failed' ? outcome.sentence : 'The brief was stopped.')
    })
  } catch (error) {
    if (!(error instanceof DOMException && error.name === 'AbortError')) throw error
    return failed('The brief was stopped; make it again.')
  } finally {
    tracked.end()
  }
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
    notice.value = `"${name}" could not be saved: ${error instanceof Error ? error.message : String(error)}. Choose another folder or make room on the disk.`
  }
}
