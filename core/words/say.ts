import { IntlMessageFormat } from 'intl-messageformat'
import { language, type Language } from './language'
import de from './texts/de.json' with { type: 'json' }
import en from './texts/en.json' with { type: 'json' }

/** Name of a text in the catalogue. */
export type TextKey = keyof typeof en

/** What a text is filled with; numbers choose its plural, a saying is said in the same language. */
export type TextValues = Readonly<Record<string, string | number | Saying>>

const TEXTS: Readonly<Record<Language, Readonly<Record<TextKey, string>>>> = { en, de }
/** Texts read already, by language: reading one takes far longer than filling it. */
const read: Record<Language, Map<TextKey, IntlMessageFormat>> = { en: new Map(), de: new Map() }

/**
 * A text of the catalogue in the language of this thread, an ICU message filled with values. Inside
 * a component or an effect it is said anew when the language changes.
 */
export function say(key: TextKey, values?: TextValues): string {
  const spoken = language.value
  let message = read[spoken].get(key)
  if (!message) {
    // Angle brackets are themselves: no text holds markup.
    message = new IntlMessageFormat(TEXTS[spoken][key], spoken, undefined, { ignoreTag: true })
    read[spoken].set(key, message)
  }
  const filled = Object.entries(values ?? {}).map(([name, value]) => [
    name,
    typeof value === 'object' ? saying(value) : value,
  ])
  return String(message.format(Object.fromEntries(filled)))
}

/** A text to be said later, in the language of that moment. */
export interface Saying {
  readonly key: TextKey
  readonly values?: TextValues
}

export const saying = ({ key, values }: Saying): string => say(key, values)
