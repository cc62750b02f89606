import { effect, signal } from '@preact/signals'
import type { Units } from './units'

/** How the pilot likes the window; belongs to them, not to a site. */
interface Preferences {
  readonly units: Units
  readonly tileTemplate: string
  readonly tileAttribution: string
}

const KEY = 'colsight.preferences'

const DEFAULTS: Preferences = {
  units: 'metric',
  tileTemplate: 'https://tile.openstreetmap.org/{z}/{x}/{y}.png',
  tileAttribution: '© OpenStreetMap contributors',
}

export const preferences = signal<Preferences>({ ...DEFAULTS, ...stored() })

/** Online tiles are off at every start, whatever was chosen before. */
export const onlineTilesOn = signal(false)

effect(() => {
  try {
    localStorage.setItem(KEY, JSON.stringify(preferences.value))
  } catch {
    // A page without storage keeps its preferences until it closes.
  }
})

function stored(): Partial<Preferences> {
  try {
    const value: unknown = JSON.parse(localStorage.getItem(KEY) ?? '{}')
    return typeof value === 'object' && value !== null ? value : {}
  } catch {
    return {}
  }
}
