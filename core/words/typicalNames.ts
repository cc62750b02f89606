import { TYPICAL_AIRCRAFT } from '../energy/aircraft'
import { TYPICAL_BATTERY } from '../energy/battery'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../radio/presets'
import { say, type TextKey } from './say'

/** Typical values keep one name in files, whatever is spoken. */
const KEYS: ReadonlyMap<string, TextKey> = new Map([
  ...VIDEO_PRESETS.map(({ name }, i): [string, TextKey] => [
    name,
    (['typical.video25', 'typical.video200', 'typical.video500'] as const)[i],
  ]),
  ...CONTROL_PRESETS.map(({ name }, i): [string, TextKey] => [
    name,
    (['typical.control2g4', 'typical.control868', 'typical.control915'] as const)[i],
  ]),
  [TYPICAL_AIRCRAFT.name, 'typical.aircraft'],
  [TYPICAL_BATTERY.name, 'typical.battery'],
])

/** The name of a link, an aircraft or a battery to be read: that of typical ones as it is spoken. */
export function spokenName(name: string): string {
  const key = KEYS.get(name)
  return key === undefined ? name : say(key)
}
