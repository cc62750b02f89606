import proj4 from 'proj4'
import type { LatLon } from './earth'

/** A coordinate reference system with everything needed to compute in it offline. */
export interface Crs {
  /** For people: "WGS 84 / UTM zone 11N". */
  readonly name: string
  /** EPSG code, or null where the file defines the system itself. */
  readonly epsg: number | null
  /** PROJ string. */
  readonly definition: string
}

/** Finds a code in an offline EPSG table; undefined where the table does not have it. */
export type CrsLookup = (epsg: number) => Promise<Crs | undefined>

export function isGeographic(crs: Crs): boolean {
  return /\+proj=longlat\b/.test(crs.definition)
}

/** True where easting and northing are metres. */
export function isMetric(crs: Crs): boolean {
  return (
    !isGeographic(crs) &&
    !/\+to_meter=/.test(crs.definition) &&
    !/\+units=(?!m\b)/.test(crs.definition)
  )
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
