/** Address of a tile server until the pilot says another, and what its licence asks for. */
export const USUAL_TILES = {
  template: 'https://tile.openstreetmap.org/{z}/{x}/{y}.png',
  attribution: '© OpenStreetMap contributors',
} as const

/** Preferences of the window are kept under this name; hosts look there for its tile server. */
export const PREFERENCES_NAME = 'preferences'

/** What a map can fill in. */
const FIELDS: readonly string[] = ['{z}', '{x}', '{y}', '{s}', '{r}']

/**
 * Where the tiles of an address come from, as a source of a Content Security Policy
 * (https://tile.example.org, or https://*.example.org for {s}); null for no tile address. It must be
 * https, or http on this machine, hold {z}, {x} and {y}, and may have a field in its host only as
 * the first name.
 */
export function tileSource(template: string): string | null {
  const fields: readonly string[] = template.match(/\{[^}]*\}/g) ?? []
  const isFilled =
    ['{z}', '{x}', '{y}'].every((field) => fields.includes(field)) &&
    fields.every((field) => FIELDS.includes(field))
  const [, scheme, part, host, port = ''] =
    /^(https?):\/\/(\{s\}\.)?([a-z0-9.-]+)(:\d{1,5})?\/[^\s'";,]*$/i.exec(template) ?? []
  if (!isFilled || host === undefined) return null
  const isOwn = part === undefined && (host === '127.0.0.1' || host === 'localhost')
  if (scheme.toLowerCase() === 'http' && !isOwn) return null
  return `${scheme.toLowerCase()}://${part === undefined ? '' : '*.'}${host.toLowerCase()}${port}`
}

/** The tile source of preferences as they are kept; the usual one where they name none. */
export function tileSourceOf(preferences: string | null): string | null {
  try {
    const kept = JSON.parse(preferences ?? '{}') as { tileTemplate?: unknown } | null
    if (typeof kept?.tileTemplate === 'string') return tileSource(kept.tileTemplate)
  } catch {
    // What cannot be read names none.
  }
  return tileSource(USUAL_TILES.template)
}
