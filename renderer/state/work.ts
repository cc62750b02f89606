import { signal } from '@preact/signals'
import { PilotError } from '../../core/errors'

/** Longer work under way, for the progress display. */
export interface Work {
  readonly label: string
  readonly share: number
  readonly cancel: () => void
}
export const work = signal<Work | null>(null)

/** A sentence the pilot should read: what went wrong, or null. */
export const notice = signal<string | null>(null)

/** Work shorter than this shows no progress. */
const PROGRESS_AFTER_MS = 400

/**
 * Shows the progress of one piece of work until it ends. Reports from a worker come on a channel
 * of their own and may arrive after the end: those count no more.
 */
export function trackWork(label: string, cancel: () => void) {
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

/** Runs something that may refuse, and gives its sentence instead. */
export function orSentence<T>(run: () => T): T | string {
  try {
    return run()
  } catch (error) {
    if (error instanceof PilotError) return error.message
    throw error
  }
}
