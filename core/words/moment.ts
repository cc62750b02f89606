import { language, type Language } from './language'

/** Days before months in every language. */
const TAGS: Readonly<Record<Language, string>> = { en: 'en-GB', de: 'de' }

/** A moment for people, in the time of this machine. */
export function whenWords(moment: Date | string): string {
  const format = new Intl.DateTimeFormat(TAGS[language.value], {
    dateStyle: 'medium',
    timeStyle: 'short',
  })
  return format.format(new Date(moment))
}

/** A day for people, in the time of this machine. */
export function dayWords(moment: Date): string {
  return new Intl.DateTimeFormat(TAGS[language.value], { dateStyle: 'medium' }).format(moment)
}
