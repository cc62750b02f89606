import { say } from './say'
import { formatNumber } from './units'

/** A time on foot, rounded up. */
export function formatWalk(seconds: number): string {
  const minutes = Math.ceil(seconds / 60)
  if (minutes < 60) return `${minutes} min`
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')} h`
}

/** The size of an area. */
export function sizeWords(squareMetres: number): string {
  return squareMetres < 10_000
    ? `${formatNumber(squareMetres, 0)} m²`
    : say('landing.ha', { squareMetres: formatNumber(squareMetres / 10_000, 1) })
}
