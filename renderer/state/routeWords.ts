import type { Conflict, ConflictKind } from '../../core/route/corridor'
import { formatHeight, formatNumber, type Units } from './units'

export const CONFLICT_NAMES: Readonly<Record<ConflictKind, string>> = {
  'no-height': 'No height with a picture',
  'under-floor': 'Under the floor',
  'over-ceiling': 'Over the ceiling',
  'too-close': 'Too close to ground or wire',
}

/** By how much, in words. */
export function conflictWords({ kind, worstM }: Conflict, units: Units): string {
  if (worstM === Infinity) return 'at no height at all'
  const metres = formatHeight(worstM, units)
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
