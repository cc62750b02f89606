import { signal } from '@preact/signals-core'

/** Languages that Colsight speaks, by their tags (BCP 47), each under its own name. */
export const LANGUAGES = { en: 'English', de: 'Deutsch' } as const
export type Language = keyof typeof LANGUAGES

/** The language of every text made from now on, in this thread. */
export const language = signal<Language>('en')

/** The first of some wanted tags that Colsight speaks, English where there is none. */
export function bestLanguage(wanted: readonly string[]): Language {
  for (const tag of wanted) {
    const spoken = toLanguage(tag.toLowerCase().split('-')[0])
    if (spoken) return spoken
  }
  return 'en'
}

/** A text as a language; null for any other. */
export function toLanguage(text: unknown): Language | null {
  return typeof text === 'string' && Object.hasOwn(LANGUAGES, text) ? (text as Language) : null
}
