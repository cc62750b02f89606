import { readFile, writeFile } from 'node:fs/promises'
import { createCanvas, loadImage } from '@napi-rs/canvas'

/** Icons of the packages, out of the one drawing: `npm run icons`. */
const drawing = await loadImage(await readFile(new URL('./public/icon.svg', import.meta.url)))

async function png(size: number): Promise<Buffer> {
  const canvas = createCanvas(size, size)
  canvas.getContext('2d').drawImage(drawing, 0, 0, size, size)
  return canvas.encode('png')
}

/** Icons of macOS by size: the type that each goes by (PNG data is allowed for all of these). */
const ICNS_TYPES = { 128: 'ic07', 256: 'ic08', 512: 'ic09', 1024: 'ic10' } as const
const ICO_SIZES = [16, 24, 32, 48, 64, 128, 256]

/** The ICO container: a directory of 16 bytes an image, then the images as PNG. */
async function ico(): Promise<Buffer> {
  const images = await Promise.all(ICO_SIZES.map(png))
  const head = Buffer.alloc(6 + 16 * images.length)
  head.writeUInt16LE(1, 2)
  head.writeUInt16LE(images.length, 4)
  let offset = head.length
  images.forEach((image, i) => {
    const at = 6 + 16 * i
    // 256 is written as 0.
    head.writeUInt8(ICO_SIZES[i] % 256, at)
    head.writeUInt8(ICO_SIZES[i] % 256, at + 1)
    head.writeUInt16LE(1, at + 4)
    head.writeUInt16LE(32, at + 6)
    head.writeUInt32LE(image.length, at + 8)
    head.writeUInt32LE(offset, at + 12)
    offset += image.length
  })
  return Buffer.concat([head, ...images])
}

/** The ICNS container: a type and a length before each image, all lengths big-endian. */
async function icns(): Promise<Buffer> {
  const parts = await Promise.all(
    Object.entries(ICNS_TYPES).map(async ([size, type]) => {
      const image = await png(Number(size))
      const head = Buffer.alloc(8)
      head.write(type, 0, 'latin1')
      head.writeUInt32BE(image.length + 8, 4)
      return Buffer.concat([head, image])
    }),
  )
  const head = Buffer.alloc(8)
  head.write('icns', 0, 'latin1')
  head.writeUInt32BE(
    parts.reduce((sum, { length }) => sum + length, 8),
    4,
  )
  return Buffer.concat([head, ...parts])
}

const folder = new URL('./icons/', import.meta.url)
await writeFile(new URL('icon.png', folder), await png(512))
await writeFile(new URL('icon.ico', folder), await ico())
await writeFile(new URL('icon.icns', folder), await icns())
