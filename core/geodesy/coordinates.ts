import * as mgrsModule from 'mgrs'
import { Projection } from './crs'
import type { LatLon } from './earth'
import { normalizeLonDeg } from './geodesic'

// Bundlers take the package's ES module; Node takes its CommonJS one, all of it as the default.
const found: object = mgrsModule
const { forward: toMgrs, inverse: boundsOfMgrs } = (
  'default' in found ? found.default : found
) as typeof mgrsModule

export const COORDINATE_STYLES = ['decimal', 'dms', 'utm', 'mgrs'] as const
/** Ways to write a position: decimal degrees, degrees minutes seconds, UTM, MGRS. */
export type CoordinateStyle = (typeof COORDINATE_STYLES)[number]

/** Digits each way in an MGRS reference to the metre. */
const MGRS_DIGITS = 5

/** A position on WGS 84 to about a metre, in words that `parseCoordinates` reads again. */
export function formatCoordinates(at: LatLon, style: CoordinateStyle): string {
  switch (style) {
    case 'decimal':
      return halves(at, (degrees) => `${degrees.toFixed(5)}°`)
    case 'dms':
      return halves(at, dms)
    case 'utm':
      return utm(at) ?? formatCoordinates(at, 'decimal')
    case 'mgrs':
      return mgrs(at) ?? formatCoordinates(at, 'decimal')
  }
}

function halves({ latDeg, lonDeg }: LatLon, degrees: (value: number) => string): string {
  const half = (value: number, positive: string, negative: string) =>
    `${degrees(Math.abs(value))} ${value < 0 ? negative : positive}`
  return `${half(latDeg, 'N', 'S')}, ${half(lonDeg, 'E', 'W')}`
}

function dms(degrees: number): string {
  // Tenths of a second, counted whole, so that 59.96 becomes the next minute and not 60.0.
  const tenths = Math.round(degrees * 36_000)
  const seconds = ((tenths % 600) / 10).toFixed(1).padStart(4, '0')
  const minutes = String(Math.floor(tenths / 600) % 60).padStart(2, '0')
  return `${Math.floor(tenths / 36_000)}°${minutes}′${seconds}″`
}

/** Zone, band, and the rest of an MGRS reference; null past 84 N and 80 S, where it has none. */
function mgrsParts(at: LatLon): { zone: number; band: string; square: string } | null {
  if (!(at.latDeg >= -80 && at.latDeg <= 84)) return null
  const text = toMgrs([normalizeLonDeg(at.lonDeg), at.latDeg], MGRS_DIGITS)
  const [, zone, band, square] = /^(\d{1,2})([A-Z])(.*)$/.exec(text) ?? []
  return square === undefined ? null : { zone: Number(zone), band, square }
}

function mgrs(at: LatLon): string | null {
  const parts = mgrsParts(at)
  if (!parts) return null
  const { zone, band, square } = parts
  return `${zone}${band} ${square.slice(0, 2)} ${square.slice(2, 7)} ${square.slice(7)}`
}

function utm(at: LatLon): string | null {
  const parts = mgrsParts(at)
  if (!parts) return null
  const [east, north] = utmOf(parts.zone, at.latDeg < 0).forward(at.lonDeg, at.latDeg)
  return `${parts.zone}${parts.band} ${Math.round(east)} ${Math.round(north)}`
}

function utmOf(zone: number, isSouth: boolean): Projection {
  return new Projection({
    name: 'UTM',
    epsg: null,
    definition: `+proj=utm +zone=${zone} ${isSouth ? '+south ' : ''}+datum=WGS84 +units=m +no_defs`,
  })
}

/**
 * The position that somebody wrote, in any of the styles; null where it is none. Latitude comes
 * first unless letters say otherwise.
 * @param near decides where a UTM zone's S may be the band or the southern half of the Earth
 */
export function parseCoordinates(text: string, near?: LatLon): LatLon | null {
  const tidy = text.trim().toUpperCase().replaceAll('−', '-')
  const found = parseMgrs(tidy) ?? parseUtm(tidy, near) ?? parseDegrees(tidy)
  if (!found || !(Math.abs(found.latDeg) <= 90 && Math.abs(found.lonDeg) <= 180)) return null
  return found
}

const BANDS = 'C-HJ-NP-X'

function parseMgrs(text: string): LatLon | null {
  const pattern = new RegExp(
    `^(\\d{1,2})\\s*([${BANDS}])\\s*([A-HJ-NP-Z][A-HJ-NP-V])\\s*([\\d\\s]*)$`,
  )
  const [, zone, band, square, rest] = pattern.exec(text) ?? []
  const digits = rest?.replace(/\s/g, '')
  if (digits === undefined || digits.length % 2 === 1 || digits.length > 10) return null
  // A square of 100 or 10 km is no place to fly to.
  if (digits.length < 4) return null
  try {
    const [west, south, east, north] = boundsOfMgrs(`${Number(zone)}${band}${square}${digits}`)
    const at = { latDeg: (south + north) / 2, lonDeg: (west + east) / 2 }
    return Number.isFinite(at.latDeg + at.lonDeg) ? at : null
  } catch {
    return null
  }
}

/** Zone with its band (or N and S for the halves, which both begin at the equator), east, north. */
function parseUtm(text: string, near: LatLon | undefined): LatLon | null {
  const pattern = new RegExp(
    `^(\\d{1,2})\\s*([${BANDS}])[\\s,]+(\\d{5,7}(?:\\.\\d+)?)\\s*M?E?[\\s,]+(\\d{1,8}(?:\\.\\d+)?)\\s*M?N?$`,
  )
  const [, zone, band, east, north] = pattern.exec(text) ?? []
  if (north === undefined || !(Number(zone) >= 1 && Number(zone) <= 60)) return null
  const [inNorth, inSouth] = [false, true].map((isSouth) =>
    utmOf(Number(zone), isSouth).inverse(Number(east), Number(north)),
  )
  // N and S are bands, and what many write for the halves of the Earth.
  if (band === 'S' && near && near.latDeg < 0) return inSouth
  if (isInBand(inNorth.latDeg, band)) return inNorth
  if (isInBand(inSouth.latDeg, band)) return inSouth
  return band === 'N' ? inNorth : band === 'S' ? inSouth : null
}

const BAND_LETTERS = 'CDEFGHJKLMNPQRSTUVWX'
/** Bands of eight degrees (the last of twelve), and a little over their borders. */
const BAND_SLACK_DEG = 0.5

function isInBand(latDeg: number, band: string): boolean {
  const index = BAND_LETTERS.indexOf(band)
  const south = -80 + 8 * index
  const north = band === 'X' ? 84 : south + 8
  return index >= 0 && latDeg >= south - BAND_SLACK_DEG && latDeg <= north + BAND_SLACK_DEG
}

const NUMBER = /[-+]?\d+(?:[.,]\d+)?/g

function parseDegrees(text: string): LatLon | null {
  const letters = text.match(/[NSEW]/g) ?? []
  if (/[^\d\s.,;:°'"′″´’”º+\-NSEW]/.test(text) || letters.length > 2) return null
  // A comma between digits is a decimal point only where something else parts the two halves.
  const isDecimalComma = !/\d\.\d/.test(text) && /\d,\d/.test(text) && /[\s;°NSEW]/.test(text)
  const plain = isDecimalComma ? text.replace(/(\d),(\d)/g, '$1.$2') : text.replaceAll(',', ' ')
  const numbers = (plain.match(NUMBER) ?? []).map(Number)
  if (![2, 4, 6].includes(numbers.length)) return null
  const size = numbers.length / 2
  const [first, second] = [numbers.slice(0, size), numbers.slice(size)].map(degreesOf)
  if (first === null || second === null) return null
  const sign = (value: number, letter: string | undefined) =>
    letter === 'S' || letter === 'W' ? -Math.abs(value) : value
  const [a, b] = [sign(first, letters[0]), sign(second, letters[1])]
  if (letters.length === 0) return { latDeg: a, lonDeg: b }
  if (letters.length !== 2) return null
  const isLat = (letter: string) => letter === 'N' || letter === 'S'
  if (isLat(letters[0]) === isLat(letters[1])) return null
  return isLat(letters[0]) ? { latDeg: a, lonDeg: b } : { latDeg: b, lonDeg: a }
}

/** Degrees, or degrees and minutes, or with seconds; null where minutes or seconds are none. */
function degreesOf(parts: readonly number[]): number | null {
  const [degrees, minutes = 0, seconds = 0] = parts
  if (!(minutes >= 0 && minutes < 60 && seconds >= 0 && seconds < 60)) return null
  // Only the last part may have a fraction.
  if (!parts.slice(0, -1).every(Number.isInteger)) return null
  const size = Math.abs(degrees) + minutes / 60 + seconds / 3600
  return degrees < 0 || Object.is(degrees, -0) ? -size : size
}
