import { USUAL_CHECKLIST } from '../brief/briefSetup'
import { TYPICAL_AIRCRAFT } from '../energy/aircraft'
import { TYPICAL_BATTERY } from '../energy/battery'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../radio/presets'
import { say, type TextKey } from './say'

/** The usual checklist, in its order. */
const CHECKLIST: readonly TextKey[] = [
  'checklist.weather',
  'checklist.airspace',
  'checklist.somebodyKnows',
  'checklist.wires',
  'checklist.packs',
  'checklist.antennasOn',
  'checklist.channelFree',
  'checklist.antennasAimed',
  'checklist.homePoint',
  'checklist.failsafe',
  'checklist.lowHeight',
  'checklist.readAloud',
]

/** Typical values and usual items are written alike in all files, whatever is spoken. */
const KEYS: ReadonlyMap<string, TextKey> = new Map([
  ...VIDEO_PRESETS.map(({ name }, i): [string, TextKey] => [
    name,
    (['typical.video25', 'typical.video200', 'typical.video500'] as const)[i],
  ]),
  ...CONTROL_PRESETS.map(({ name }, i): [string, TextKey] => [
    name,
    (['typical.control2g4', 'typical.control868', 'typical.control915'] as const)[i],
  ]),
  ...USUAL_CHECKLIST.map((item, i): [string, TextKey] => [item, CHECKLIST[i]]),
  [TYPICAL_AIRCRAFT.name, 'typical.aircraft'],
  [TYPICAL_BATTERY.name, 'typical.battery'],
])

/**
 * The name of a link, an aircraft or a battery, or an item of a checklist, to be read: typical ones
 * as they are spoken, the pilot's own as they are.
 */
export function spokenName(name: string): string {
  const key = KEYS.get(name)
  return key === undefined ? name : say(key)
}
