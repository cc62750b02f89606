import { effect } from '@preact/signals'
import { wrap, type Remote } from 'comlink'
import { language } from '../../core/words/language'
import { say } from '../../core/words/say'
import type { SpeakingThread } from '../workers/threadLanguage'
import { notice } from './work'

/** A worker whose end is said: what was asked of it is never answered. */
export function watched(worker: Worker): Worker {
  worker.addEventListener('error', () => (notice.value = say('threads.failed')))
  return worker
}

/**
 * A thread that speaks the language of the window. Messages of one worker keep their order, so
 * whatever is asked of it is answered in the language of that moment.
 */
export function beginThread<Api>(worker: Worker): Remote<Api> {
  const speaking = wrap<SpeakingThread>(watched(worker))
  effect(() => void speaking.speak(language.value))
  return wrap<Api>(worker)
}

/** A thread for what not every pilot asks for: it begins when it is first wanted. */
export function lateThread<Api>(newWorker: () => Worker): () => Remote<Api> {
  let thread: Remote<Api> | null = null
  return () => (thread ??= beginThread<Api>(newWorker()))
}
