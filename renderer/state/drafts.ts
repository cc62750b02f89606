import { effect, signal } from '@preact/signals'
import { z } from 'zod'
import { host } from '../host/host'
import { isUnsaved, planText, saved } from './planText'
import { recentPlansKept, remember } from './recentPlans'
import { say } from '../../core/words/say'
import { notice } from './work'

/** A plan with changes in no file, as it was a moment ago. */
export interface Draft {
  readonly id: string
  readonly name: string
  /** ISO 8601. */
  readonly at: string
  readonly text: string
}

/** Drafts of windows that are no longer open, newest first. */
export const foundDrafts = signal<readonly Draft[]>([])

const PREFIX = 'draft-'
/** A change is written after so long without another, milliseconds. */
const SETTLE_MS = 250
const schema = z.object({ name: z.string(), at: z.string(), text: z.string() })

const ownId = PREFIX + crypto.randomUUID().slice(0, 13)
let written: string | null = null
let timer: ReturnType<typeof setTimeout> | undefined

/** Keeps every change of the plan at hand from here on, and finds what others left behind. */
export async function startDrafts(): Promise<void> {
  // Held as long as this window lives, so that others leave its draft alone.
  void navigator.locks.request(ownId, () => new Promise(() => undefined))
  effect(() => {
    void [planText.value, isUnsaved.value]
    clearTimeout(timer)
    timer = setTimeout(() => void writeDraft(), SETTLE_MS)
  })
  window.addEventListener('pagehide', () => void writeDraft())
  window.addEventListener('beforeunload', (event) => {
    void writeDraft()
    if (isUnsaved.peek()) event.preventDefault()
  })
  await findDrafts()
}

let writing: Promise<void> = Promise.resolve()

/** One after the other, so that an older text never comes after a newer one. */
function writeDraft(): Promise<void> {
  clearTimeout(timer)
  writing = writing.then(writeNewest)
  return writing
}

async function writeNewest(): Promise<void> {
  const text = isUnsaved.peek() ? planText.peek() : null
  if (text === written) return
  const before = written
  written = text
  try {
    if (text === null) {
      // What went out of hand is safe among the recent plans first.
      await recentPlansKept()
      await host.store.remove(ownId)
    } else {
      const name = saved.peek()?.name
      await host.store.write(ownId, JSON.stringify({ name, at: new Date().toISOString(), text }))
    }
  } catch {
    written = before
    notice.value = say('drafts.changesPlanCannotKept')
  }
}

async function findDrafts(): Promise<void> {
  const { held = [] } = await navigator.locks.query()
  const isOpen = (id: string) => id === ownId || held.some(({ name }) => name === id)
  const ids = (await host.store.list().catch(() => [])).filter((id) => id.startsWith(PREFIX))
  const drafts = await Promise.all(ids.filter((id) => !isOpen(id)).map(readDraft))
  foundDrafts.value = drafts
    .filter((draft) => draft !== null)
    .sort((a, b) => (a.at < b.at ? 1 : -1))
}

async function readDraft(id: string): Promise<Draft | null> {
  try {
    return { id, ...schema.parse(JSON.parse((await host.store.read(id)) ?? '')) }
  } catch {
    return null
  }
}

/** Takes a draft off the offer; it stays among the recent plans. */
export async function putAside(draft: Draft): Promise<void> {
  remember(draft.name, draft.text, false, new Date(draft.at))
  foundDrafts.value = foundDrafts.value.filter((other) => other !== draft)
  try {
    await recentPlansKept()
    await host.store.remove(draft.id)
  } catch {
    notice.value = say('drafts.planCouldNotPut')
  }
}
