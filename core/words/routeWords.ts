import type { Battery, Chemistry } from '../energy/battery'
import type { Flight, Flyer } from '../energy/flight'
import type { Turns } from '../energy/turns'
import type { TurnPoint } from '../energy/wayHome'
import type { Conflict, ConflictKind, FloorKind } from '../route/corridor'
import { formatDistance, formatHeight, formatNumber, formatShare, type Units } from './units'

export const CONFLICT_NAMES: Readonly<Record<ConflictKind, string>> = {
  'no-height': 'No height between floor and ceiling',
  'under-floor': 'Under the floor',
  'weak-signal': 'Too little signal at this height',
  'over-ceiling': 'Over the ceiling',
  'too-close': 'Too close to ground or wire',
  'no-landing': 'No landing area in reach',
  'not-known': 'Not known',
}

const FLOOR_WANTS: Readonly<Record<FloorKind, string>> = {
  margin: 'the wanted margin',
  fresnel: 'Fresnel clearance',
  sight: 'sight',
}

/** By how much, in words. */
export function conflictWords(
  { kind, worst }: Conflict,
  floorKind: FloorKind,
  units: Units,
): string {
  if (kind === 'not-known') return 'no terrain data there or on the way'
  if (kind === 'no-landing')
    return 'of those in the plan: by charge, wind and ground, not by picture'
  if (kind === 'weak-signal') return `${formatNumber(worst, 1)} dB short of the wanted margin`
  if (worst === Infinity) return `no height has ${FLOOR_WANTS[floorKind]}`
  const metres = formatHeight(worst, units, worst < 10 ? 1 : 0)
  return kind === 'no-height' ? `floor ${metres} over the ceiling` : `by ${metres}`
}

/** A duration as minutes and seconds. */
export function formatDuration(seconds: number): string {
  if (!Number.isFinite(seconds)) return '–'
  const whole = Math.round(seconds)
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')} min`
}

export function formatMah(mah: number): string {
  return Number.isFinite(mah) ? `${formatNumber(mah, 0)} mAh` : '–'
}

/** A charge with its scatter, where a flight has shown one. */
export function mahWithSpread(mah: number, spreadShare: number | null): string {
  if (spreadShare === null || !Number.isFinite(mah)) return formatMah(mah)
  return `${formatMah(mah)} ± ${formatNumber(mah * spreadShare, 0)}`
}

/** How grave a verdict is. */
export type VerdictKind = 'clear' | 'sight' | 'blocked'

/** What a flight ends like: the gravest thing first. */
export function verdictOn(
  {
    flight,
    flyer,
    turns,
  }: { readonly flight: Flight; readonly flyer: Flyer; readonly turns: Turns | null },
  takenMah: number,
): [kind: VerdictKind, words: string] {
  const { usableMah, budgetMah } = flyer.pack
  const left = formatShare(1 - takenMah / usableMah)
  const where = flight.landed ? 'Home' : 'At the end'
  if (takenMah > usableMah) return ['blocked', 'The battery is empty before the end']
  if (flight.sagSample !== null) return ['blocked', 'The pack fails on the way']
  if (takenMah > budgetMah) return ['blocked', `${where} below the reserve: ${left} left`]
  const isFar = turns && !turns.retraced?.isEnd && !turns.straight?.isEnd
  if (!flight.landed && isFar) return ['sight', `${where} with ${left} left, but not home`]
  return ['clear', `${where} with ${left} left`]
}

/** Where to turn; a dash of dots while it is worked out. */
export function turnWords(turn: TurnPoint | null | undefined, units: Units): string {
  if (turn === undefined) return '…'
  if (turn === null) return 'never in reach of home'
  if (turn.isEnd) return 'home in reach all the way'
  return `${formatMah(turn.takenMah)}, ${formatDuration(turn.timeS)}, ${formatDistance(turn.distanceM, units)}`
}

const CHEMISTRY_NAMES: Readonly<Record<Chemistry, string>> = { lipo: 'LiPo', liion: 'Li-ion' }

/** A pack by what it is, whatever it is called. */
export function batteryWords({ cells, capacityMah, chemistry, temperatureC }: Battery): string {
  return `${cells} ${cells === 1 ? 'cell' : 'cells'} ${CHEMISTRY_NAMES[chemistry]}, ${formatMah(capacityMah)}, ${formatNumber(temperatureC, 0)} °C`
}
