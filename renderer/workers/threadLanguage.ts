import { expose } from 'comlink'
import { language, type Language } from '../../core/words/language'

export interface SpeakingThread {
  speak(its: Language): void
}

/** Offers what a worker does to the window, and lets it say in which language. */
export function exposeSpeaking(api: object): void {
  const speaking: SpeakingThread = {
    speak(its) {
      language.value = its
    },
  }
  expose({ ...api, ...speaking })
}
