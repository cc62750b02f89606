import { effect } from '@preact/signals'
import { bestLanguage, language } from '../../core/words/language'
import { LANGUAGE_CHANNEL } from '../workers/threadLanguage'
import { preferences } from './preferences'

/** Workers speak what the window speaks: they ask when they begin, and hear of every change. */
const channel = new BroadcastChannel(LANGUAGE_CHANNEL)
channel.onmessage = ({ data }) => {
  if (data === null) channel.postMessage(language.peek())
}

effect(() => {
  language.value = preferences.value.language ?? bestLanguage(navigator.languages)
})
effect(() => {
  document.documentElement.lang = language.value
  channel.postMessage(language.value)
})
