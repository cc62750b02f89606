import { effect } from '@preact/signals-core'
import { config } from 'zod'
import { de, en } from 'zod/locales'
import { language, type Language } from './language'

/** What schemas say of values that do not fit, in each language. */
const SCHEMA_WORDS: Readonly<Record<Language, () => Parameters<typeof config>[0]>> = { en, de }

effect(() => void config(SCHEMA_WORDS[language.value]()))
