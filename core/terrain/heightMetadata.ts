import type { GeoTIFFImage } from 'geotiff'
import { PilotError } from '../errors'
import { say } from '../words/say'
import { unitFromWord, type FileCrs } from './fileCrs'

/** Metadata longer than this is no metadata of a height. */
const MAX_METADATA_BYTES = 1_000_000

/** What GDAL's metadata says of the first band: its scale, its offset and its unit. */
type Metadata = Readonly<Partial<Record<'SCALE' | 'OFFSET' | 'UNITTYPE', unknown>>>

export async function metadataOf(image: GeoTIFFImage): Promise<Metadata> {
  const text = (await image.fileDirectory.loadValue('GDAL_METADATA').catch(() => null)) as unknown
  if (typeof text !== 'string' || text.length > MAX_METADATA_BYTES) return {}
  return ((await image.getGDALMetadata(0).catch(() => null)) ?? {}) as Metadata
}

/** A scale or offset as a number; a scale of 0 means none. */
export function factorOf(value: unknown, otherwise: number): number {
  const number = value === undefined ? otherwise : Number(value)
  if (!Number.isFinite(number)) throw new RangeError(`a scale of ${String(value)}`)
  return number === 0 && otherwise === 1 ? 1 : number
}

/** The value that the file declares as missing; null for none. */
export async function noDataOf(image: GeoTIFFImage): Promise<number | null> {
  const text = (await image.fileDirectory.loadValue('GDAL_NODATA').catch(() => null)) as unknown
  if (typeof text !== 'string') return null
  const value = Number(text.replace(/\0.*$/s, '').trim() || NaN)
  return Number.isNaN(value) ? null : value
}

/** Thrown where nothing says whether heights are metres or feet and the pilot may. */
export class NoHeightUnit extends PilotError {}

/**
 * Metres in a unit of height: what the file says, else what the pilot says, else what is most likely.
 * Throws NoHeightUnit.
 */
export function heightUnitOf(
  { heightUnitM, likelyHeightUnitM, crs }: FileCrs,
  metadata: Metadata,
  assumedM: number | undefined,
  name: string,
): number {
  const word = typeof metadata.UNITTYPE === 'string' ? metadata.UNITTYPE.trim() : ''
  const stated = word ? unitFromWord(word) : heightUnitM
  const unit = stated ?? assumedM ?? (word ? null : likelyHeightUnitM)
  if (unit) return unit
  if (word) {
    throw new NoHeightUnit(
      say('terrainFile.givesHeightsWhichNot', { name, word: word.slice(0, 40) }),
    )
  }
  throw new NoHeightUnit(say('terrainFile.liesWhichNotMetres', { name, name2: crs.name }))
}
