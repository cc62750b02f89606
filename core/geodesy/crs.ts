import proj4 from 'proj4'
import { say } from '../words/say'
import type { LatLon } from './earth'

/** A coordinate reference system with everything needed to compute in it offline. */
export interface Crs {
  /** For people: "WGS 84 / UTM zone 11N". */
  readonly name: string
  /** EPSG code, or null where the file defines the system itself. */
  readonly epsg: number | null
  /** PROJ string, or WKT. */
  readonly definition: string
  /**
   * How far its shift to WGS 84 may be off, metres, as the EPSG dataset says; null where nobody
   * does. Left out where it is WGS 84.
   */
  readonly shiftErrorM?: number | null
}

/** Finds a code in an offline EPSG table; undefined where the table does not have it. */
export type CrsLookup = (epsg: number) => Promise<Crs | undefined>

/** A row of the table of coordinate systems: name, PROJ string, accuracy of its shift in metres. */
export type EpsgRow = readonly [name: string, definition: string, shiftErrorM: number | null]

/** The part of a record of the epsg-index package that is used. */
export interface EpsgRecord {
  readonly code: string
  readonly name: string
  readonly proj4: string | null
  readonly accuracy: number | string | null
}

/** Shifts to WGS 84 by EPSG code: accuracy in metres, then three or seven towgs84 numbers. */
export interface DatumShifts {
  readonly shifts: readonly (readonly number[])[]
  readonly byCode: Readonly<Record<string, number | undefined>>
}

/**
 * A record as a row, its shift to WGS 84 taken from the table of shifts where that has one: the
 * record may have none, a wrong one, or name a shift grid, which is not here. Undefined for a record
 * without a PROJ string.
 */
export function epsgRow(
  { code, name, proj4: definition, accuracy }: EpsgRecord,
  { shifts, byCode }: DatumShifts,
): EpsgRow | undefined {
  if (!definition) return undefined
  const shift = byCode[code]
  if (shift !== undefined) {
    const [accuracyM, ...parameters] = shifts[shift]
    const without = definition.replace(/\+(nadgrids|towgs84)=("[^"]*"|\S+)/g, '').trim()
    return [name, `${without} +towgs84=${parameters.join(',')}`, accuracyM]
  }
  const isShifted = /\+towgs84=/.test(definition)
  return [name, definition, isShifted && accuracy !== null ? Number(accuracy) : null]
}

export function crsOfRow(epsg: number, [name, definition, shiftErrorM]: EpsgRow): Crs {
  const crs = { epsg, name, definition }
  return isWgs84(definition) ? crs : { ...crs, shiftErrorM }
}

/** How well positions of a system are shifted to WGS 84, to be put behind its name. */
export function shiftWords({ shiftErrorM }: Crs): string {
  if (shiftErrorM === undefined) return ''
  return shiftErrorM === null
    ? say('crs.shiftedWgs84Parameters')
    : say('crs.shiftedWgs84Within', { shiftErrorM })
}

function isWgs84(definition: string): boolean {
  return /\+datum=WGS84|\+nadgrids=@null/.test(definition)
}

/** True where a system needs a shift grid that is not here. */
export function needsGrid({ definition }: Crs): boolean {
  return /\+nadgrids=(?!@)/.test(definition)
}

/** Metres in a unit of the heights that belong to a system; null where it has none. */
export function heightUnitM({ definition }: Crs): number | null {
  const factor = /\+vto_meter=(\S+)/.exec(definition)?.[1]
  if (factor) return Number(factor)
  const unit = /\+vunits=(\S+)/.exec(definition)?.[1]
  return unit ? (HEIGHT_UNITS_M[unit] ?? null) : null
}

const HEIGHT_UNITS_M: Readonly<Record<string, number>> = {
  m: 1,
  ft: 0.3048,
  'us-ft': 1200 / 3937,
}

export function isGeographic(crs: Crs): boolean {
  return parsed(crs)?.projName === 'longlat'
}

/** True where easting and northing are metres. */
export function isMetric(crs: Crs): boolean {
  const system = parsed(crs)
  return system !== null && system.projName !== 'longlat' && (system.to_meter ?? 1) === 1
}

function parsed({ definition }: Crs): { projName?: string; to_meter?: number } | null {
  try {
    return new proj4.Proj(definition) as { projName?: string; to_meter?: number }
  } catch {
    return null
  }
}

const WGS84 = '+proj=longlat +datum=WGS84 +no_defs'

/** Conversion between WGS 84 and one CRS. Coordinates are easting and northing in its units. */
export class Projection {
  private readonly converter: proj4.Converter

  constructor(crs: Crs) {
    this.converter = proj4(WGS84, crs.definition)
  }

  /** [x, y] of a position; not finite where the projection has no answer. */
  forward(lonDeg: number, latDeg: number): [number, number] {
    try {
      const [x, y] = this.converter.forward([lonDeg, latDeg])
      return [x, y]
    } catch {
      // proj4 throws for positions outside the domain of some projections.
      return [NaN, NaN]
    }
  }

  inverse(x: number, y: number): LatLon {
    try {
      const [lonDeg, latDeg] = this.converter.inverse([x, y])
      return { latDeg, lonDeg }
    } catch {
      return { latDeg: NaN, lonDeg: NaN }
    }
  }
}

/**
 * EPSG code of the metric CRS for a site: the UTM zone of its centre on WGS 84 (with the
 * standard exceptions of south-west Norway and Svalbard), and the two universal polar
 * stereographic systems past 84 N and 80 S.
 */
export function siteEpsg({ latDeg, lonDeg }: LatLon): number {
  if (latDeg > 84) return 5041
  if (latDeg < -80) return 5042
  return (latDeg < 0 ? 32700 : 32600) + utmZone(latDeg, lonDeg)
}

function utmZone(latDeg: number, lonDeg: number): number {
  const regular = ((Math.floor((lonDeg + 180) / 6) % 60) + 60) % 60
  if (latDeg >= 56 && latDeg < 64 && lonDeg >= 3 && lonDeg < 12) return 32
  if (latDeg >= 72 && lonDeg >= 0 && lonDeg < 42) {
    if (lonDeg < 9) return 31
    if (lonDeg < 21) return 33
    return lonDeg < 33 ? 35 : 37
  }
  return regular + 1
}
