import { signal } from '@preact/signals'
import { PAPERS, type Paper } from '../../core/brief/words'
import { COORDINATE_STYLES, type CoordinateStyle } from '../../core/geodesy/coordinates'
import { PREFERENCES_NAME, tileSource, USUAL_TILES } from '../../core/tileAddress'
import { keep } from './kept'
import { toLanguage, type Language } from '../../core/words/language'
import type { Units } from '../../core/words/units'

/** How the pilot likes the window; belongs to them, not to a site. */
interface Preferences {
  /** Null for that of the system. */
  readonly language: Language | null
  readonly units: Units
  readonly coordinateStyle: CoordinateStyle
  /** Of printed briefs. */
  readonly paper: Paper
  readonly tileTemplate: string
  readonly tileAttribution: string
}

const DEFAULTS: Preferences = {
  language: null,
  units: 'metric',
  coordinateStyle: 'decimal',
  paper: 'a4',
  tileTemplate: USUAL_TILES.template,
  tileAttribution: USUAL_TILES.attribution,
}

export const preferences = signal<Preferences>(DEFAULTS)
keep(PREFERENCES_NAME, preferences, (json) => {
  const kept = json as Partial<Preferences>
  const text = (value: unknown, otherwise: string) =>
    typeof value === 'string' ? value : otherwise
  return {
    language: toLanguage(kept.language),
    units: kept.units === 'feet' ? 'feet' : 'metric',
    coordinateStyle:
      COORDINATE_STYLES.find((style) => style === kept.coordinateStyle) ?? DEFAULTS.coordinateStyle,
    paper: PAPERS.find((paper) => paper === kept.paper) ?? DEFAULTS.paper,
    tileTemplate: text(kept.tileTemplate, DEFAULTS.tileTemplate),
    tileAttribution: text(kept.tileAttribution, DEFAULTS.tileAttribution),
  }
})

/** Online tiles are off at every start, whatever was chosen before. */
export const onlineTilesOn = signal(false)

let allowed: string | null | undefined

/** The tile source that this page was loaded with: its policy lets no other in. */
export function tileSourceAllowed(): string | null {
  allowed ??= tileSource(preferences.peek().tileTemplate)
  return allowed
}
