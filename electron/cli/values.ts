import { InvalidArgumentError } from 'commander'
import type { Sector } from '../../core/coverage/clearHeights'
import type { LatLon } from '../../core/geodesy/earth'
import type { SiteWindow } from '../../core/terrain/siteFrame'
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

export function wholeNumber(text: string): number {
  const value = positive(text)
  if (!Number.isInteger(value)) throw new InvalidArgumentError('It must be a whole number.')
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

/** A square window as LAT,LON,KM: its middle, and its edge in kilometres. */
export function siteWindow(text: string): SiteWindow {
  const parts = text.split(',')
  const edgeM = 1000 * Number(parts[2])
  if (parts.length !== 3 || !(edgeM > 0)) {
    throw new InvalidArgumentError(
      'It must be LAT,LON,KM: the middle in decimal degrees and the edge in kilometres, such as 41.2,166.3,20.',
    )
  }
  const centre = latLon(parts.slice(0, 2).join(','))
  return { centre, eastWestM: edgeM, northSouthM: edgeM }
}

/** A list of what else to write, by comma. */
export function extras(text: string): Extra[] {
  return text.split(',').map((word) => {
    const known = EXTRAS.find((extra) => extra === word.trim())
    if (!known) throw new InvalidArgumentError(`It must be one or more of ${EXTRAS.join(',')}.`)
    return known
  })
}
