import { say } from './say'
import { METRES_PER_FOOT } from '../picture/relief'
import { language, type Language } from './language'

export const UNITS = ['metric', 'feet'] as const
export type Units = (typeof UNITS)[number]

/** Heights and distances in the pilot's units. Values inside the program are always metres. */
export const HEIGHT_UNIT: Readonly<Record<Units, { symbol: string; metres: number }>> = {
  metric: { symbol: 'm', metres: 1 },
  feet: { symbol: 'ft', metres: METRES_PER_FOOT },
}

export const METRES_PER_MILE = 1609.344

/** Speeds in the pilot's units. */
export const SPEED_UNIT: Readonly<Record<Units, { symbol: string; metresPerSecond: number }>> = {
  metric: { symbol: 'km/h', metresPerSecond: 1 / 3.6 },
  feet: { symbol: 'mph', metresPerSecond: METRES_PER_MILE / 3600 },
}
const SHORT_DISTANCE_M = 1000

/** A height or clearance such as "1,234 m"; a dash where there is none. */
export function formatHeight(metres: number, units: Units, digits = 0): string {
  if (!Number.isFinite(metres)) return '–'
  const { symbol, metres: unit } = HEIGHT_UNIT[units]
  return `${formatNumber(metres / unit, digits)} ${symbol}`
}

/** A clear height, never below the ground and rounded up: flown as read it must still be clear. */
export function formatClearHeight(metres: number, units: Units): string {
  const { metres: unit } = HEIGHT_UNIT[units]
  return formatHeight(Math.max(0, Math.ceil(metres / unit - 1e-6)) * unit, units)
}

/** A distance over ground: kilometres or statute miles, shorter ones in the unit of heights. */
export function formatDistance(metres: number, units: Units): string {
  if (!(metres >= SHORT_DISTANCE_M)) return formatHeight(metres, units)
  return units === 'metric'
    ? `${formatNumber(metres / 1000, 2)} km`
    : say('units.mi', { metres: formatNumber(metres / METRES_PER_MILE, 2) })
}

/** One a language and number of digits: making one takes a hundred times as long as using it. */
const numberFormats: Record<Language, (Intl.NumberFormat | undefined)[]> = { en: [], de: [] }

/** A dash for what is no number. @param digits behind the point */
export function formatNumber(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '–'
  const formats = numberFormats[language.value]
  formats[digits] ??= new Intl.NumberFormat(language.value, {
    minimumFractionDigits: digits,
    maximumFractionDigits: digits,
  })
  // "-0" is how a tiny negative number rounds; nobody wants to read it.
  return formats[digits].format(Number(value.toFixed(digits)) || 0)
}

const plainFormats: Partial<Record<Language, Intl.NumberFormat>> = {}

/** A number as it is typed: all its digits, none of them grouped. */
export function plainNumber(value: number): string {
  plainFormats[language.value] ??= new Intl.NumberFormat(language.value, {
    useGrouping: false,
    maximumFractionDigits: 12,
  })
  return plainFormats[language.value]!.format(value)
}

export function formatSpeed(metresPerSecond: number, units: Units): string {
  if (!Number.isFinite(metresPerSecond)) return '–'
  const { symbol, metresPerSecond: unit } = SPEED_UNIT[units]
  return `${formatNumber(metresPerSecond / unit, 0)} ${symbol}`
}

export function formatShare(share: number): string {
  return Number.isFinite(share) ? `${formatNumber(100 * share, 1)} %` : '–'
}

/** A number with its sign, such as the decibels of a budget. */
export function formatSigned(value: number, digits = 1): string {
  if (!Number.isFinite(value)) return '–'
  const rounded = Number(value.toFixed(digits))
  return `${rounded >= 0 ? '+' : '-'}${formatNumber(Math.abs(rounded), digits)}`
}
