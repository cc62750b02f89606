import { effect } from '@preact/signals'
import { bestLanguage, language } from '../../core/words/language'
import { preferences } from './preferences'

effect(() => {
  language.value = preferences.value.language ?? bestLanguage(navigator.languages)
})
effect(() => {
  document.documentElement.lang = language.value
})
