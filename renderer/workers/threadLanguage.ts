import { language, toLanguage } from '../../core/words/language'

export const LANGUAGE_CHANNEL = 'colsight-language'

/** Makes this worker speak the language of the window. */
export function followLanguage(): void {
  const channel = new BroadcastChannel(LANGUAGE_CHANNEL)
  channel.onmessage = ({ data }) => {
    language.value = toLanguage(data) ?? language.peek()
  }
  // Null asks for it.
  channel.postMessage(null)
}
