import type { Store } from '../../core/host'
import { PREFERENCES_NAME } from '../../core/tileAddress'
import { bestLanguage, language, toLanguage } from '../../core/words/language'

/** Speaks the language that the pilot chose in the window, else the first of the system's. */
export async function followPreferences(store: Store, system: readonly string[]): Promise<void> {
  const text = await store.read(PREFERENCES_NAME).catch(() => null)
  language.value = chosen(text) ?? bestLanguage(system)
}

function chosen(preferences: string | null) {
  try {
    const json: unknown = JSON.parse(preferences ?? 'null')
    return json && typeof json === 'object' && 'language' in json ? toLanguage(json.language) : null
  } catch {
    return null
  }
}
