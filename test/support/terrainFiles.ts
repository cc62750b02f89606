import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { ByteSource } from '../../core/terrain/source'
import { TerrainFile, type Assumptions } from '../../core/terrain/terrainFile'
import { TerrainSet } from '../../core/terrain/terrainSet'
import type { GridFrame, TerrainGrid } from '../../core/terrain/grid'
import { lookUpCrs } from '../../electron/node/epsg'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { temporaryFolder } from './places'

/** Bytes in memory as a file. */
export function bytesOf(content: Uint8Array): ByteSource {
  return {
    sizeBytes: content.length,
    read: (offset, length) =>
      Promise.resolve(Uint8Array.from(content.subarray(offset, offset + length))),
  }
}

/** Opens bytes in memory as a terrain file. */
export function openMade(
  content: Uint8Array,
  name = 'made.tif',
  assume?: Assumptions,
): Promise<TerrainFile> {
  return TerrainFile.fromBytes(bytesOf(content), { name }, { lookUpCrs, assume })
}

/** A raster as a terrain set of one file. */
export async function setOf(
  frame: GridFrame & { readonly heights: Float32Array; readonly name?: string },
): Promise<TerrainSet> {
  return new TerrainSet([await openMade(writeGeoTiff(frame.heights, frame), frame.name)])
}

/** Reads bytes as the file "made.tif" on disk, beside the texts given. */
export async function readBytes(
  bytes: Uint8Array,
  beside: Readonly<Record<string, string>> = {},
): Promise<TerrainGrid> {
  const folder = temporaryFolder()
  writeFileSync(join(folder, 'made.tif'), bytes)
  for (const [ending, text] of Object.entries(beside)) {
    writeFileSync(join(folder, `made.${ending}`), text)
  }
  return readTerrainFile(join(folder, 'made.tif'))
}

type Values = readonly (number | bigint)[]
/** A tag of a handmade TIFF; types: 1 byte, 2 text, 3 and 4 whole numbers, 12 double, 16 long. */
export type Tag = readonly [tag: number, type: 1 | 2 | 3 | 4 | 12 | 16, values: Values]
const SIZES = { 1: 1, 2: 1, 3: 2, 4: 4, 12: 8, 16: 8 } as const

/**
 * Directories of a little-endian TIFF one after the other, from byte 8 (or 16) of the file on.
 * @param at where the directories begin
 */
export function tiffDirectories(
  directories: readonly (readonly Tag[])[],
  { isBig = false, at }: { isBig?: boolean; at?: number } = {},
): Uint8Array {
  const [entrySize, countSize, offsetSize] = isBig ? [20, 8, 8] : [12, 2, 4]
  const sizeOf = (tags: readonly Tag[]) =>
    tags.reduce(
      (sum, [, type, values]) => sum + (values.length * SIZES[type] > offsetSize ? 8 + values.length * SIZES[type] : 0), // prettier-ignore
      countSize + tags.length * entrySize + offsetSize,
    )
  const starts: number[] = []
  let end = at ?? (isBig ? 16 : 8)
  for (const tags of directories) {
    starts.push(end)
    end += Math.ceil(sizeOf(tags) / 8) * 8
  }
  const bytes = new Uint8Array(end)
  const view = new DataView(bytes.buffer)
  const putOffset = (place: number, value: number) =>
    isBig ? view.setBigUint64(place, BigInt(value), true) : view.setUint32(place, value, true)
  view.setUint16(0, 0x4949, true)
  view.setUint16(2, isBig ? 43 : 42, true)
  if (isBig) view.setUint16(4, 8, true)
  putOffset(isBig ? 8 : 4, starts[0])
  directories.forEach((tags, index) => {
    const start = starts[index]
    if (isBig) view.setBigUint64(start, BigInt(tags.length), true)
    else view.setUint16(start, tags.length, true)
    let free = Math.ceil((start + countSize + tags.length * entrySize + offsetSize) / 8) * 8
    const sorted = [...tags].sort((a, b) => a[0] - b[0])
    sorted.forEach(([tag, type, values], i) => {
      const entry = start + countSize + i * entrySize
      view.setUint16(entry, tag, true)
      view.setUint16(entry + 2, type, true)
      putOffset(entry + 4, values.length)
      let place = entry + 4 + offsetSize
      if (values.length * SIZES[type] > offsetSize) {
        putOffset(place, free)
        place = free
        free += Math.ceil((values.length * SIZES[type]) / 8) * 8
      }
      for (const one of values) {
        if (SIZES[type] === 1) view.setUint8(place, Number(one))
        else if (type === 3) view.setUint16(place, Number(one), true)
        else if (type === 4) view.setUint32(place, Number(one), true)
        else if (type === 16) view.setBigUint64(place, BigInt(one), true)
        else view.setFloat64(place, Number(one), true)
        place += SIZES[type]
      }
    })
    putOffset(start + countSize + tags.length * entrySize, starts[index + 1] ?? 0)
  })
  return bytes
}
