import { GeoTIFF, type GeoTIFFImage } from 'geotiff'
import { PilotError } from '../errors'
import { say } from '../words/say'
import { TiffRaster } from './tiffRaster'
import type { TiffBytes } from './tiffBytes'

/** The heights of a file at one scale: the file's own, or one of its overviews. */
export interface Level {
  readonly raster: TiffRaster
  /** 1-bit raster of where there is a height, if the file has one. */
  readonly mask: TiffRaster | null
}

/** More directories than any file of heights has. */
const MAX_DIRECTORIES = 64

/** Opens a TIFF. Throws a PilotError for what is none. */
export async function openTiff(bytes: TiffBytes, name: string): Promise<GeoTIFF> {
  try {
    return await GeoTIFF.fromSource(bytes as unknown as Parameters<typeof GeoTIFF.fromSource>[0])
  } catch (cause) {
    if (cause instanceof PilotError) throw cause
    if (bytes.fileSize === 0) {
      throw new PilotError(say('terrainFile.emptyFetchAgain', { name }), { cause })
    }
    throw new PilotError(say('terrainFile.notTiffFileCan', { name }), { cause })
  }
}

/** All directories of a file, as far as they lead anywhere new. */
export async function directoriesOf(tiff: GeoTIFF): Promise<GeoTIFFImage[]> {
  const images = [await tiff.getImage(0)]
  const seen = new Set<number>([tiff.firstIFDOffset])
  while (images.length < MAX_DIRECTORIES) {
    const next = Number(images[images.length - 1].fileDirectory.nextIFDByteOffset)
    if (!next || seen.has(next)) break
    seen.add(next)
    try {
      images.push(await tiff.getImage(images.length))
    } catch {
      // The heights stand in the first; what follows is coarser copies of them.
      break
    }
  }
  return images
}

/** The file's own scale and its overviews, each with its mask, finest first. */
export async function levelsOf(
  first: GeoTIFFImage,
  others: readonly GeoTIFFImage[],
  bytes: TiffBytes,
): Promise<Level[]> {
  const own = await TiffRaster.of(first, bytes)
  const copies: TiffRaster[] = []
  const masks: TiffRaster[] = []
  for (const image of others) {
    const kind = Number(image.fileDirectory.getValue('NewSubfileType') ?? 0)
    if ((kind & 5) === 0) continue
    try {
      const raster = await TiffRaster.of(image, bytes)
      if (kind & 4) masks.push(raster)
      else copies.push(raster)
    } catch {
      // A coarser copy that cannot be read is done without; a mask is looked for below.
      if (kind & 4) throw new RangeError('a mask that cannot be read')
    }
  }
  const isCopy = ({ cols, rows, samples, typeName }: TiffRaster) =>
    cols < own.cols &&
    Math.abs(own.cols / cols / (own.rows / rows) - 1) < 0.1 + 1 / Math.min(cols, rows) &&
    samples === own.samples &&
    typeName === own.typeName
  const maskOf = ({ cols, rows }: TiffRaster) =>
    masks.find((mask) => mask.cols === cols && mask.rows === rows) ?? null
  const ownMask = maskOf(own)
  return [own, ...copies.filter(isCopy).sort((a, b) => b.cols - a.cols)]
    .map((raster) => ({ raster, mask: maskOf(raster) }))
    .filter(({ mask }) => mask !== null || ownMask === null)
}
