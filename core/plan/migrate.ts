import { USUAL_BRIEF } from '../brief/briefSetup'
import { say } from '../words/say'
import { PilotError } from '../errors'

type Json = Record<string, unknown>

/** What each version of the plan file lacked of the next, put in as it used to be taken. */
const STEPS: Readonly<Record<number, (settings: Json) => Json>> = {
  1: (settings) => ({
    ...settings,
    terrain: null,
    radius_m: null,
    sector: null,
    model_error_m: null,
    foliage: 'solid',
    route: { take_off_height_m: 30, home_leg: 'terrain' },
    nearby: { separation_m: 1, harmonic_suppression_db: 50, channel_width_mhz: 20 },
  }),
  2: (settings) => ({
    ...settings,
    aircraft: { ...(settings.aircraft as Json | undefined), current_spread_share: null },
    brief: USUAL_BRIEF,
  }),
}

/**
 * A plan file of an older version as one of the newest; other JSON as it is. Throws a PilotError for
 * a newer version than this program knows.
 */
export function migrate(json: unknown, newest: number, fileName: string): unknown {
  if (typeof json !== 'object' || json === null || !('colsight' in json)) return json
  let settings = json.colsight
  if (typeof settings !== 'object' || settings === null || !('version' in settings)) return json
  const { version } = settings
  if (typeof version === 'number' && Number.isInteger(version) && version > newest) {
    throw new PilotError(say('migrate.savedNewerColsightPlan', { fileName, version, newest }))
  }
  for (let from = Number(version); from in STEPS; from++) {
    settings = { ...STEPS[from](settings as Json), version: from + 1 }
  }
  return { ...json, colsight: settings }
}
