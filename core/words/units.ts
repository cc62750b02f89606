import { METRES_PER_FOOT } from '../picture/relief'

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
    : `${formatNumber(metres / METRES_PER_MILE, 2)} mi`
}

/** One a number of digits: making one takes a hundred times as long as using it. */
const numberFormats = Array.from(
  { length: 6 },
  (_, digits) =>
    new Intl.NumberFormat('en', { minimumFractionDigits: digits, maximumFractionDigits: digits }),
)

/** A dash for what is no number. @param digits behind the point, up to 5 */
export function formatNumber(value: number, digits: number): string {
  if (!Number.isFinite(value)) return '–'
  // "-0" is how a tiny negative number rounds; nobody wants to read it.
  const rounded = Number(value.toFixed(digits)) || 0
  return numberFormats[digits].format(rounded)
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
  return `${value >= 0 ? '+' : '-'}${formatNumber(Math.abs(value), digits)}`
}
