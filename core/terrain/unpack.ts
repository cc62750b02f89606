import { unzlibSync } from 'fflate'
import Lerc from 'lerc'
import { Inflate } from 'pako'
import { ZSTDDecoder } from 'zstddec'

/**
 * The packings of heights in TIFF, each with a bound: a block is known to hold so many bytes, and
 * nothing is unpacked beyond them, however much a hostile file promises. geotiff.js has all of these
 * too, but without a bound, and its LZW never ends on a file with one flipped bit.
 */
export const PACKINGS: Readonly<Record<number, string>> = {
  1: 'not packed',
  5: 'LZW',
  8: 'deflate',
  32946: 'deflate',
  32773: 'PackBits',
  34887: 'LERC',
  50000: 'ZSTD',
}

/** What a block is to hold once it is unpacked. */
export interface BlockShape {
  readonly cols: number
  readonly rows: number
  /** Samples beside each other in a cell. */
  readonly samples: number
  readonly bytesPerSample: number
}

/** What comes out: as many bytes as the block holds, and which cells hold a value, if not all. */
export interface Unpacked {
  readonly bytes: Uint8Array<ArrayBuffer>
  readonly valid?: Uint8Array
}

/** What comes out is good until the next block is unpacked. */
export type Unpack = (packed: Uint8Array, shape: BlockShape) => Unpacked

/**
 * The function that unpacks blocks of a packing. What it throws means a damaged file.
 * @param lercExtra what LERC blocks are packed with on top (0 nothing, 1 deflate, 2 ZSTD)
 */
export async function unpackerOf(packing: number, lercExtra = 0): Promise<Unpack> {
  switch (packing) {
    case 1:
      return (packed, shape) => whole(packed.slice(0, sizeOf(shape)), shape)
    case 5:
      return (packed, shape) => whole(unpackLzw(packed, sizeOf(shape)), shape)
    case 8:
    case 32946:
      return (packed, shape) => whole(inflate(packed, sizeOf(shape)), shape)
    case 32773:
      return (packed, shape) => whole(unpackBits(packed, sizeOf(shape)), shape)
    case 50000: {
      const unzstd = await zstd()
      return (packed, shape) => whole(unzstd(packed, sizeOf(shape)), shape)
    }
    case 34887: {
      const unzstd = lercExtra === 2 ? await zstd() : null
      return (packed, shape) => {
        // LERC is never longer than the raw values and a short head.
        const bound = sizeOf(shape) + shape.cols * shape.rows + 4096
        if (lercExtra === 0) return unpackLerc(packed, shape)
        return unpackLerc(unzstd ? unzstd(packed, bound) : inflate(packed, bound), shape)
      }
    }
    default:
      throw new RangeError(`packing ${packing}`)
  }
}

function sizeOf({ cols, rows, samples, bytesPerSample }: BlockShape): number {
  return cols * rows * samples * bytesPerSample
}

/** A block that came out too short is damaged. */
function whole(bytes: Uint8Array<ArrayBuffer>, shape: BlockShape): Unpacked {
  if (bytes.length < sizeOf(shape)) throw new RangeError('a block is too short')
  return { bytes }
}

/** Blocks of up to so many bytes are inflated by the faster of two libraries. */
const SMALL_BLOCK_BYTES = 512 * 1024
/** One byte more, so that a block that is too long is seen to be. */
const smallBlock = new Uint8Array(SMALL_BLOCK_BYTES + 1)

/** Deflate with zlib's frame; an error where more comes out than there is room for. */
function inflate(packed: Uint8Array, room: number): Uint8Array<ArrayBuffer> {
  return room <= SMALL_BLOCK_BYTES ? inflateSmall(packed, room) : inflateLarge(packed, room)
}

/**
 * Goes on to the end of what is packed though it writes no further than there is room, so that
 * it is given no more than a sound block can have: a hostile one costs a second at most.
 */
function inflateSmall(packed: Uint8Array, room: number): Uint8Array<ArrayBuffer> {
  const most = packed.subarray(0, Math.ceil(1.25 * room) + 64)
  const out = unzlibSync(most, { out: smallBlock.subarray(0, room + 1) })
  if (out.length > room) throw new RangeError('a block is too long')
  return out as Uint8Array<ArrayBuffer>
}

/** Stops where there is no more room. */
function inflateLarge(packed: Uint8Array, room: number): Uint8Array<ArrayBuffer> {
  const inflator = new Inflate({ chunkSize: room })
  let out: Uint8Array<ArrayBuffer> | null = null
  inflator.onData = (data) => {
    const chunk = data as Uint8Array<ArrayBuffer>
    // A last empty chunk is how zlib says that it stopped exactly at the end of the room.
    if (out && chunk.length > 0) throw new RangeError('a block is too long')
    out ??= chunk
  }
  inflator.onEnd = () => undefined
  inflator.push(packed, true)
  // A whole block without its check sum is still whole; one that ended early is not.
  return out ?? new Uint8Array(0)
}

let zstdDecoder: Promise<ZSTDDecoder> | undefined

async function zstd(): Promise<(packed: Uint8Array, room: number) => Uint8Array<ArrayBuffer>> {
  zstdDecoder ??= (async () => {
    const decoder = new ZSTDDecoder()
    await decoder.init()
    return decoder
  })()
  const decoder = await zstdDecoder
  return (packed, room) => decoder.decode(packed, room) as Uint8Array<ArrayBuffer>
}

/** Runs of bytes: a count and the bytes, or a negative count and one byte (TIFF 6.0, section 9). */
function unpackBits(packed: Uint8Array, room: number): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(room)
  let at = 0
  for (let i = 0; i < packed.length && at < room;) {
    const count = (packed[i++] << 24) >> 24
    if (count >= 0) {
      const run = packed.subarray(i, Math.min(i + count + 1, i + room - at))
      out.set(run, at)
      at += run.length
      i += count + 1
    } else if (count > -128) {
      out.fill(packed[i++], at, at + 1 - count)
      at += 1 - count
    }
  }
  return out.subarray(0, Math.min(at, room))
}

const CLEAR = 256
const END = 257
const FIRST_FREE = 258
const MAX_CODES = 4096

/**
 * LZW with the codes of TIFF 6.0, section 13: most significant bit first, 9 to 12 bits, a code's
 * width growing one code early. Each code is kept as where in the output its bytes stand already.
 */
function unpackLzw(packed: Uint8Array, room: number): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(room)
  const start = new Int32Array(MAX_CODES)
  const length = new Int32Array(MAX_CODES)
  let [at, free, width, previous] = [0, FIRST_FREE, 9, -1]
  let [bits, held] = [0, 0]
  for (let i = 0; at < room;) {
    while (held < width) {
      if (i >= packed.length) return out.subarray(0, at)
      bits = ((bits << 8) | packed[i++]) & 0xffffff
      held += 8
    }
    held -= width
    const code = (bits >> held) & ((1 << width) - 1)
    if (code === END) break
    if (code === CLEAR) {
      free = FIRST_FREE
      width = 9
      previous = -1
      continue
    }
    const from = at
    if (code < 256) out[at++] = code
    else if (code < free) at = copyRun(out, start[code], length[code], at)
    else if (code === free && previous >= 0) {
      // The string being defined right now: the one before and its own first byte.
      at = copyRun(out, previous, from - previous, at)
      if (at < room) out[at] = out[previous]
      at++
    } else throw new RangeError('a code that nothing defined')
    if (previous >= 0 && free < MAX_CODES) {
      // The string before and the first byte of this one lie next to each other in the output.
      start[free] = previous
      length[free] = from - previous + 1
      free++
      if (free + 1 >= 1 << width && width < 12) width++
    }
    previous = from
  }
  return out.subarray(0, Math.min(at, room))
}

/** Copies a run that may overlap with where it goes; returns where it ends. */
function copyRun(out: Uint8Array, from: number, count: number, at: number): number {
  const end = Math.min(at + count, out.length)
  for (let i = at, j = from; i < end; i++, j++) out[i] = out[j]
  return at + count
}

/** LERC 2: dimensions and block size are looked at first, since its decoder believes them. */
function unpackLerc(packed: Uint8Array, shape: BlockShape): Unpacked {
  const { cols, rows, samples } = shape
  const view = new DataView(packed.buffer, packed.byteOffset, packed.byteLength)
  const magic = String.fromCharCode(...packed.subarray(0, 6))
  if (magic !== 'Lerc2 ') throw new RangeError('not LERC 2')
  const version = view.getInt32(6, true)
  let at = version >= 3 ? 14 : 10
  const [height, width] = [view.getInt32(at, true), view.getInt32(at + 4, true)]
  at += 8
  const depth = version >= 4 ? view.getInt32(at, true) : 1
  if (version >= 4) at += 4
  const microBlock = view.getInt32(at + 4, true)
  if (height !== rows || width !== cols || depth !== samples) throw new RangeError('LERC shape')
  if (microBlock < 1 || microBlock > 512) throw new RangeError('LERC block size')
  const { pixels, mask } = Lerc.decode(packed.slice().buffer, {
    returnPixelInterleavedDims: samples > 1,
  })
  const values = pixels[0]
  const bytes = new Uint8Array(values.buffer, values.byteOffset, values.byteLength)
  if (bytes.length !== sizeOf(shape)) throw new RangeError('LERC type')
  return { bytes, valid: mask ?? undefined }
}
