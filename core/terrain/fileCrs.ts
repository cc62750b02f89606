import { PilotError } from '../errors'
import {
  crsOfRow,
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
  /** Metres in a unit of height; null where nothing says. */
  readonly heightUnitM: number | null
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
  [/^(us|u\.s\.).*(survey)?.*(ft|foot|feet)|^ft.?us$|survey/i, 1200 / 3937],
  [/^(international )?(ft|foot|feet)$/i, 0.3048],
  [/^(m|met(er|re)s?)$/i, 1],
  [/^(cm|centimet(er|re)s?)$/i, 0.01],
  [/^(dm|decimet(er|re)s?)$/i, 0.1],
]

/** Metres in a unit that GDAL's metadata names; null for one not known. */
export function unitFromWord(word: string): number | null {
  return UNIT_WORDS.find(([spelling]) => spelling.test(word.trim()))?.[1] ?? null
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
  const code = given ?? number('ProjectedCSTypeGeoKey') ?? number('GeographicTypeGeoKey')
  const model = number('GTModelTypeGeoKey')
  if (code !== undefined && code !== USER_DEFINED && code !== 0) {
    const crs = await byCode(code, name, lookUpCrs)
    // Geographic files may count in other angles than degrees, and the table counts in degrees.
    const angle = ANGLES_DEG[number('GeogAngularUnitsGeoKey') ?? 9102] ?? 1
    const coordinateFactor = given === undefined && isGeographic(crs) ? angle : 1
    const ownHeights = heightUnitM(crs)
    return {
      crs,
      coordinateFactor,
      heightUnitM: heights.unitM ?? ownHeights ?? (isMetric(crs) || isGeographic(crs) ? 1 : null),
      heightsName: heights.name,
    }
  }
  if (keys && (code === USER_DEFINED || model === 1 || model === 2)) {
    const own = await ownSystem(keys, name)
    const unitM = heights.unitM ?? (own.coordinateFactor === 1 ? 1 : null)
    return { ...own, heightUnitM: unitM, heightsName: heights.name }
  }
  if (projection) {
    const crs = await fromWkt(projection, name, lookUpCrs)
    const unitM = heights.unitM ?? (isMetric(crs) || isGeographic(crs) ? 1 : null)
    return { crs, coordinateFactor: 1, heightUnitM: unitM, heightsName: heights.name }
  }
  throw new NoCrs(
    `"${name}" does not name its coordinate system; give its EPSG code, choose its .prj file together with it, or export it again with one.`,
  )
}

async function byCode(code: number, name: string, lookUpCrs: CrsLookup): Promise<Crs> {
  const crs = await lookUpCrs(code)
  if (!crs || !/\+proj=(?!geocent)/.test(crs.definition)) {
    throw new PilotError(
      `"${name}" names a coordinate system that is not known here (EPSG:${code}); reproject it to a UTM zone.`,
    )
  }
  if (needsGrid(crs)) {
    throw new PilotError(
      `"${name}" is in ${crs.name} (EPSG:${code}), whose datum needs a shift grid that is not here; reproject it to a UTM zone on WGS 84.`,
    )
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
      `"${name}" uses a coordinate system of its own making that is not understood here${wrong ? ` (${wrong[0]})` : ''}; reproject it to a UTM zone.`,
    )
  }
  const citation = [keys.PCSCitationGeoKey, keys.GTCitationGeoKey, keys.GeogCitationGeoKey]
    .find((text): text is string => typeof text === 'string' && text.trim() !== '')
    ?.split('|')[0]
  const crs: Crs = {
    name: citation?.trim().slice(0, 80) || 'a coordinate system of its own',
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
  const label = /^[A-Z_]+\s*\[\s*"([^"]{1,80})"/i.exec(text)?.[1] ?? 'its .prj file'
  const crs = {
    ...crsOfRow(0, [label.replaceAll('_', ' '), text, null]),
    epsg: null,
  }
  if (!/^(PROJCS|GEOGCS|PROJCRS|GEOGCRS|GEODCRS|COMPD_CS)\b/i.test(text) || !isUsable(crs)) {
    throw new PilotError(
      `The .prj file of "${name}" holds no coordinate system that is understood here; give the file's EPSG code instead, or reproject it to a UTM zone.`,
    )
  }
  return crs
}

function isUsable(crs: Crs): boolean {
  try {
    new Projection(crs)
    return true
  } catch {
    return false
  }
}
