import { PilotError } from '../errors'
import { say } from '../words/say'
import {
  heightUnitM,
  isGeographic,
  isMetric,
  needsGrid,
  Projection,
  type Crs,
  type CrsLookup,
} from '../geodesy/crs'

/** What the GeoTIFF keys of a file say, by the names of OGC GeoTIFF 1.1. */
export type GeoKeys = Readonly<Record<string, unknown>>

/** The system a file's positions are in, and the unit of its heights. */
export interface FileCrs {
  readonly crs: Crs
  /** What the file's coordinates are multiplied by to be those of `crs`. */
  readonly coordinateFactor: number
  /** Metres in a unit of height, where the file says; null where it does not. */
  readonly heightUnitM: number | null
  /** Metres in the unit that its heights are most likely in; null where nobody can tell. */
  readonly likelyHeightUnitM: number | null
  /** What heights are above, where the file names it: "NAVD88 height". */
  readonly heightsName: string | null
}

const USER_DEFINED = 32767
/** EPSG units of length, metres; EPSG dataset. */
const LENGTHS_M: Readonly<Record<number, number>> = {
  9001: 1,
  9002: 0.3048,
  9003: 1200 / 3937,
  9005: 0.3047972654,
  9014: 1.8288,
  9036: 1000,
  9095: 0.304799471538676,
}
/** EPSG units of angle, degrees. */
const ANGLES_DEG: Readonly<Record<number, number>> = {
  9101: 180 / Math.PI,
  9102: 1,
  9103: 1 / 60,
  9104: 1 / 3600,
  9105: 0.9,
  9106: 0.9,
}
/** Spellings of units of height in GDAL's metadata (UNITTYPE). */
const UNIT_WORDS: readonly (readonly [RegExp, number])[] = [
  [/^(us|u\.s\.).*(ft|foot|feet)|^(ft|foot|feet).?us$|survey/i, 1200 / 3937],
  [/^(international )?(ft|foot|feet)$/i, 0.3048],
  [/^(m|met(er|re)s?)$/i, 1],
  [/^(cm|centimet(er|re)s?)$/i, 0.01],
  [/^(dm|decimet(er|re)s?)$/i, 0.1],
]

/** Metres in a unit that GDAL's metadata names; null for one not known. */
export function unitFromWord(word: string): number | null {
  const plain = word.trim().replaceAll('_', ' ')
  return UNIT_WORDS.find(([spelling]) => spelling.test(plain))?.[1] ?? null
}

/** Thrown where a file does not say where it lies and the pilot may. */
export class NoCrs extends PilotError {}

/**
 * Finds out the system of a file from its keys, a code given by the pilot, or the WKT beside it.
 * Throws a PilotError with a sentence where none of them helps.
 */
export async function readFileCrs(
  keys: GeoKeys | null,
  {
    name,
    lookUpCrs,
    epsg: given,
    projection,
  }: { name: string; lookUpCrs: CrsLookup; epsg?: number; projection?: string },
): Promise<FileCrs> {
  const number = (key: string) => {
    const value = keys?.[key]
    return typeof value === 'number' ? value : undefined
  }
  const heights = await heightsOf(number, lookUpCrs)
  const code = number('ProjectedCSTypeGeoKey') ?? number('GeographicTypeGeoKey')
  const model = number('GTModelTypeGeoKey')
  const found = (crs: Crs, coordinateFactor = 1): FileCrs => ({
    crs,
    coordinateFactor,
    heightUnitM: heights.unitM ?? heightUnitM(crs),
    likelyHeightUnitM: coordinateFactor === 1 ? likelyUnitM(crs) : null,
    heightsName: heights.name,
  })
  if (code !== undefined && code !== USER_DEFINED && code !== 0) {
    const crs = await byCode(code, name, lookUpCrs)
    // Geographic files may count in other angles than degrees, and the table counts in degrees.
    const angle = ANGLES_DEG[number('GeogAngularUnitsGeoKey') ?? 9102] ?? 1
    return { ...found(crs, isGeographic(crs) ? angle : 1), likelyHeightUnitM: likelyUnitM(crs) }
  }
  if (keys && (code === USER_DEFINED || model === 1 || model === 2)) {
    const { crs, coordinateFactor } = await ownSystem(keys, name)
    return found(crs, coordinateFactor)
  }
  if (given !== undefined) return found(await byCode(given, name, lookUpCrs))
  if (projection) return found(await fromWkt(projection, name, lookUpCrs))
  throw new NoCrs(say('fileCrs.doesNotNameCoordinate', { name }))
}

function likelyUnitM(crs: Crs): number | null {
  return isMetric(crs) || isGeographic(crs) ? 1 : null
}

async function byCode(code: number, name: string, lookUpCrs: CrsLookup): Promise<Crs> {
  const crs = await lookUpCrs(code)
  if (!crs || !/\+proj=(?!geocent)/.test(crs.definition)) {
    throw new PilotError(say('fileCrs.coordinateSystemEpsgNot', { code, name }))
  }
  if (needsGrid(crs)) {
    throw new PilotError(say('fileCrs.epsgWhoseDatumNeeds', { name, name2: crs.name, code }))
  }
  return crs
}

async function heightsOf(
  number: (key: string) => number | undefined,
  lookUpCrs: CrsLookup,
): Promise<{ unitM: number | null; name: string | null }> {
  const code = number('VerticalCSTypeGeoKey')
  const system = code && code !== USER_DEFINED ? await lookUpCrs(code) : undefined
  const unit = number('VerticalUnitsGeoKey')
  const unitM = (unit ? LENGTHS_M[unit] : undefined) ?? (system ? heightUnitM(system) : null)
  return { unitM: unitM ?? null, name: system?.name ?? null }
}

/** A system the file defines itself, by the keys of its projection. */
async function ownSystem(keys: GeoKeys, name: string) {
  const { toProj4 } = await import('geotiff-geokeys-to-proj4')
  const {
    proj4,
    coordinatesConversionParameters: factors,
    errors,
  } = toProj4(keys as unknown as Parameters<typeof toProj4>[0])
  const wrong = Object.entries(errors ?? {}).find(
    ([key, value]) => value && !HARMLESS.includes(key),
  )
  const isMap = keys.ProjectedCSTypeGeoKey === USER_DEFINED || keys.GTModelTypeGeoKey === 1
  if (!proj4 || wrong || isMap === /\+proj=longlat/.test(proj4)) {
    throw new PilotError(
      say('fileCrs.usesCoordinateSystemOwn', { name, what: wrong ? ` (${wrong[0]})` : '' }),
    )
  }
  const citation = [keys.PCSCitationGeoKey, keys.GTCitationGeoKey, keys.GeogCitationGeoKey]
    .find((text): text is string => typeof text === 'string' && text.trim() !== '')
    ?.split('|')[0]
  const crs: Crs = {
    name: citation?.trim().slice(0, 80) || say('fileCrs.coordinateSystemOwn'),
    epsg: null,
    definition: proj4.trim(),
    shiftErrorM: null,
  }
  return { crs, coordinateFactor: factors?.x ?? 1 }
}

/** What the library remarks though all is well: codes of both the map and its datum are there. */
const HARMLESS = ['bothGCSAndPCSAreSet']

/** A system given as WKT: by its EPSG code where it carries one, else as it is. */
async function fromWkt(wkt: string, name: string, lookUpCrs: CrsLookup): Promise<Crs> {
  const text = wkt.trim()
  const code = /AUTHORITY\["EPSG","(\d+)"\]\]$/i.exec(text.replace(/\s+/g, ''))?.[1]
  const known = code ? await lookUpCrs(Number(code)) : undefined
  if (known && !needsGrid(known)) return known
  const label = /^[A-Z_]+\s*\[\s*"([^"]{1,80})"/i.exec(text)?.[1] ?? say('fileCrs.prjFile')
  const crs: Crs = {
    name: label.replaceAll('_', ' '),
    epsg: null,
    definition: text,
    shiftErrorM: null,
  }
  if (!/^(PROJCS|GEOGCS|PROJCRS|GEOGCRS|GEODCRS|COMPD_CS)\b/i.test(text) || !isUsable(crs)) {
    throw new PilotError(say('fileCrs.prjFileHoldsNo', { name }))
  }
  return (await wellKnown(crs, lookUpCrs)) ?? crs
}

/** Names of datums as .prj files without codes spell them, and the codes of their UTM zones. */
const UTM_CODES: readonly (readonly [RegExp, north: number, south: number])[] = [
  [/WGS (19)?84/i, 32600, 32700],
  [/ETRS (19)?89/i, 25800, NaN],
  [/NAD (19)?83/i, 26900, NaN],
]
/** Two systems that are this close all around are the same: a centimetre, in degrees as well. */
const SAME_M = 0.01
const SAME_DEG = 1e-7

/** The system of the EPSG dataset that one without a code is by its name, and in fact. */
async function wellKnown(crs: Crs, lookUpCrs: CrsLookup): Promise<Crs | null> {
  const zone = /UTM zone (\d{1,2}) ?([NS])/i.exec(crs.name)
  const [, north = NaN, south = NaN] = UTM_CODES.find(([name]) => name.test(crs.name)) ?? []
  const isPlain = /^(GCS )?WGS (19)?84$/i.test(crs.name)
  const base = zone?.[2].toUpperCase() === 'S' ? south : north
  const code = zone ? base + Number(zone[1]) : isPlain ? 4326 : NaN
  const known = Number.isFinite(code) ? await lookUpCrs(code) : undefined
  if (!known) return null
  const [one, other] = [new Projection(crs), new Projection(known)]
  const most = isGeographic(known) ? SAME_DEG : SAME_M
  const lon = zone ? Number(zone[1]) * 6 - 183 : 10
  const isSame = [10, 45, 70].every((lat) => {
    const signed = zone?.[2].toUpperCase() === 'S' ? -lat : lat
    const [a, b] = [one, other].map((projection) => projection.forward(lon + 2, signed))
    return Math.hypot(a[0] - b[0], a[1] - b[1]) < most
  })
  return isSame ? known : null
}

function isUsable(crs: Crs): boolean {
  try {
    new Projection(crs)
    return true
  } catch {
    return false
  }
}
