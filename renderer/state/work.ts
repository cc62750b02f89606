import { signal } from '@preact/signals'
import { PilotError } from '../../core/errors'

/** Longer work under way, for the progress display. */
export interface Work {
  readonly label: string
  /** 0 to 1; null where nobody can tell. */
  readonly share: number | null
  /** Null for work that cannot be stopped. */
  readonly cancel: (() => void) | null
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
export function trackWork(label: string, cancel: (() => void) | null) {
  let shown: Work = { label, share: null, cancel }
  let isVisible = false
  const timer = setTimeout(() => {
    isVisible = true
    work.value = shown
  }, PROGRESS_AFTER_MS)
  return {
    report(share: number): void {
      const before = shown
      shown = { ...shown, share }
      if (isVisible && work.peek() === before) work.value = shown
    },
    end(): void {
      clearTimeout(timer)
      isVisible = false
      if (work.peek() === shown) work.value = null
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
