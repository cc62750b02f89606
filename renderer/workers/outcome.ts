import { say } from '../../core/words/say'
import { PilotError } from '../../core/errors'

/** What a worker answers: a value, a sentence for the pilot, or word that it was cancelled. */
export type Outcome<T> =
  | { readonly kind: 'done'; readonly value: T }
  | { readonly kind: 'failed'; readonly sentence: string }
  | { readonly kind: 'cancelled' }

/** Runs work and turns its errors into data, since errors lose their class between threads. */
export async function errorsAsData<T>(work: () => Promise<T>): Promise<Outcome<T>> {
  try {
    return { kind: 'done', value: await work() }
  } catch (error) {
    if (error instanceof DOMException && error.name === 'AbortError') return { kind: 'cancelled' }
    if (error instanceof PilotError) return { kind: 'failed', sentence: error.message }
    console.error(error)
    const message = error instanceof Error ? error.message : String(error)
    return { kind: 'failed', sentence: say('common.somethingWentWrongInside', { message }) }
  }
}
