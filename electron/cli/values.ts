import { InvalidArgumentError } from 'commander'
import type { Sector } from '../../core/coverage/clearHeights'
import type { LatLon } from '../../core/geodesy/earth'
import { EXTRAS, type Extra } from './coverageCommand'

/** A finite number; commander prints the sentence and the option it belongs to. */
export function number(text: string): number {
  const value = text.trim() === '' ? NaN : Number(text)
  if (!Number.isFinite(value)) throw new InvalidArgumentError('It must be a finite number.')
  return value
}

export function heightM(text: string): number {
  const value = number(text)
  if (value < 0) {
    throw new InvalidArgumentError('Heights are above ground and cannot be negative.')
  }
  return value
}

export function positive(text: string): number {
  const value = number(text)
  if (value <= 0) throw new InvalidArgumentError('It must be above zero.')
  return value
}

/** A sector as AZIMUTH,WIDTH in degrees. */
export function sector(text: string): Sector {
  const [azimuthDeg, widthDeg, ...more] = text.split(',').map(number)
  if (more.length > 0 || widthDeg === undefined || !(widthDeg > 0 && widthDeg <= 360)) {
    throw new InvalidArgumentError(
      'It must be AZIMUTH,WIDTH in degrees, the width above 0 and up to 360, such as 45,90.',
    )
  }
  return { azimuthDeg, widthDeg }
}

export function latLon(text: string): LatLon {
  const parts = text.split(',').map((part) => (part.trim() === '' ? NaN : Number(part)))
  const [latDeg, lonDeg] = parts
  if (parts.length !== 2 || !(Math.abs(latDeg) <= 90) || !(Math.abs(lonDeg) <= 180)) {
    throw new InvalidArgumentError(
      'It must be LAT,LON in decimal degrees, latitude -90 to 90, longitude -180 to 180, such as 41.2,166.3.',
    )
  }
  return { latDeg, lonDeg }
}

/** A list of what else to write, by comma. */
export function extras(text: string): Extra[] {
  return text.split(',').map((word) => {
    const known = EXTRAS.find((extra) => extra === word.trim())
    if (!known) throw new InvalidArgumentError(`It must be one or more of ${EXTRAS.join(',')}.`)
    return known
  })
}
