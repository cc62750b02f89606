import type { GeoTIFFImage } from 'geotiff'
import type { TiffBytes } from './tiffBytes'
import { say } from '../words/say'
import { PACKINGS, unpackerOf, type BlockShape, type Unpack } from './unpack'

/** A rectangle of cells: its first column and row, and how many. */
export interface CellWindow {
  readonly col: number
  readonly row: number
  readonly cols: number
  readonly rows: number
}

/** How values are kept: TIFF's SampleFormat. */
type Format = 'unsigned' | 'signed' | 'float'
const FORMATS: Readonly<Record<number, Format>> = { 1: 'unsigned', 2: 'signed', 3: 'float' }

/** A cell's values, native byte order. */
export type Values =
  | Uint8Array
  | Int8Array
  | Uint16Array
  | Int16Array
  | Uint32Array
  | Int32Array
  | Float32Array
  | Float64Array

/** Why a raster cannot hold heights that are read here, as the second half of a sentence. */
export class Unreadable extends Error {}

/** More decoded bytes than this in one block is no layout that anybody writes. */
const MAX_BLOCK_BYTES = 512 * 1024 * 1024
/** Kinds of extra samples that mean transparency (TIFF 6.0, section 18). */
const ALPHA = [1, 2]
const MAX_BLOCKS = 16_000_000
const MAX_SIDE = 10_000_000

/** One raster of a TIFF: how its blocks (strips or tiles) lie, checked. */
export class TiffRaster {
  private constructor(
    private readonly bytes: TiffBytes,
    readonly cols: number,
    readonly rows: number,
    /** Size of a block, cells. */
    readonly blockCols: number,
    readonly blockRows: number,
    readonly bits: number,
    readonly format: Format,
    readonly samples: number,
    /** True where a second sample says how much of the cell there is. */
    readonly hasAlpha: boolean,
    private readonly isPlanar: boolean,
    readonly packing: number,
    private readonly predictor: number,
    private readonly littleEndian: boolean,
    private readonly offsets: ArrayLike<number | bigint>,
    private readonly counts: ArrayLike<number | bigint>,
    private readonly unpack: Unpack,
  ) {}

  /** Looks at a directory. Throws Unreadable, or anything else where the file is damaged. */
  static async of(image: GeoTIFFImage, bytes: TiffBytes): Promise<TiffRaster> {
    const directory = image.fileDirectory
    const number = async (tag: Tag, otherwise: number) => {
      const value = (await directory.loadValue(tag)) as unknown
      const first = isList(value) ? value[0] : value
      return typeof first === 'number' && Number.isFinite(first) ? first : otherwise
    }
    const [cols, rows] = [await number('ImageWidth', 0), await number('ImageLength', 0)]
    if (!isSize(cols, MAX_SIDE) || !isSize(rows, MAX_SIDE)) {
      throw new RangeError(`a size of ${cols} x ${rows}`)
    }
    const isTiled = directory.hasTag('TileOffsets')
    const blockCols = isTiled ? await number('TileWidth', 0) : cols
    const blockRows = isTiled
      ? await number('TileLength', 0)
      : Math.min(rows, await number('RowsPerStrip', rows))
    if (!isSize(blockCols, MAX_SIDE) || !isSize(blockRows, MAX_SIDE)) {
      throw new RangeError(`blocks of ${blockCols} x ${blockRows}`)
    }

    const bits = await number('BitsPerSample', 1)
    const format = FORMATS[await number('SampleFormat', 1)]
    const isMask = bits === 1 && format === 'unsigned'
    const isKnown =
      format === 'float' ? bits === 32 || bits === 64 : bits === 8 || bits === 16 || bits === 32
    if (!format || (!isKnown && !isMask)) {
      throw new Unreadable(
        say('tiffRaster.holdsValuesBitsSave', {
          bits,
          format: format ?? say('tiffRaster.unknownKind'),
        }),
      )
    }
    const samples = await number('SamplesPerPixel', 1)
    const isPlanar = (await number('PlanarConfiguration', 1)) === 2
    const packing = await number('Compression', 1)
    if (!(packing in PACKINGS)) {
      throw new Unreadable(say('tiffRaster.packedWayMeantPictures', { packing }))
    }
    const predictor = await number('Predictor', 1)
    if (![1, 2, 3].includes(predictor)) throw new RangeError(`predictor ${predictor}`)

    const across = Math.ceil(cols / blockCols)
    const blocks = across * Math.ceil(rows / blockRows) * (isPlanar ? samples : 1)
    const rowBytes = isMask ? Math.ceil(blockCols / 8) : blockCols * (bits / 8)
    if (!isSize(samples, 1000) || !isSize(blocks, MAX_BLOCKS)) throw new RangeError('its layout')
    if (rowBytes * blockRows * (isPlanar ? 1 : samples) > MAX_BLOCK_BYTES) {
      throw new Unreadable(say('tiffRaster.keepsValuesBlocksToo', { blockCols, blockRows }))
    }
    const offsets = await list(image, isTiled ? 'TileOffsets' : 'StripOffsets')
    const counts = await list(image, isTiled ? 'TileByteCounts' : 'StripByteCounts')
    if (offsets.length < blocks || counts.length < blocks) throw new RangeError('its block list')
    const lercExtra = packing === 34887 ? ((await lercParameters(image))[1] ?? 0) : 0
    const unpack = await unpackerOf(packing, lercExtra)
    return new TiffRaster(
      bytes,
      cols,
      rows,
      blockCols,
      blockRows,
      bits,
      format,
      samples,
      samples === 2 && ALPHA.includes(await number('ExtraSamples', 0)),
      isPlanar,
      packing,
      predictor,
      image.littleEndian,
      offsets,
      counts,
      unpack,
    )
  }

  /** Lets go of the bytes kept for reading on. */
  forget(): void {
    this.bytes.forget()
  }

  /** What its values are called, such as Int16. */
  get typeName(): string {
    const kind = { unsigned: 'UInt', signed: 'Int', float: 'Float' }[this.format]
    return `${kind}${this.bits}`
  }

  /**
   * Reads the blocks under a window, one after the other.
   * @param visit gets a block's values, `stride` apart, where the block lies, and whether cells are
   *   valid where not all are; `values` is null for a block that is left out of the file
   */
  async readBlocks(
    window: CellWindow,
    sample: number,
    visit: (block: CellWindow, values: Values | null, stride: number, valid?: Uint8Array) => void,
    { signal, onProgress }: { signal?: AbortSignal; onProgress?: (share: number) => void } = {},
  ): Promise<void> {
    const { blockCols, blockRows, cols, rows } = this
    const across = Math.ceil(cols / blockCols)
    const down = Math.ceil(rows / blockRows)
    const [left, top] = [Math.floor(window.col / blockCols), Math.floor(window.row / blockRows)]
    const right = Math.min(across, Math.ceil((window.col + window.cols) / blockCols))
    const bottom = Math.min(down, Math.ceil((window.row + window.rows) / blockRows))
    for (let y = top; y < bottom; y++) {
      for (let x = left; x < right; x++) {
        const index = (this.isPlanar ? sample * across * down : 0) + y * across + x
        const block = {
          col: x * blockCols,
          row: y * blockRows,
          cols: blockCols,
          // The last strip is cut at the end of the raster; tiles are whole.
          rows: blockCols === cols ? Math.min(blockRows, rows - y * blockRows) : blockRows,
        }
        const count = Number(this.counts[index])
        if (count === 0) {
          visit(block, null, 1)
        } else {
          const packed = await this.bytes.read(Number(this.offsets[index]), count, signal)
          if (packed.length < count) throw new RangeError('a block beyond the end of the file')
          const { values, valid } = this.decode(packed, block.cols, block.rows)
          const stride = this.isPlanar ? 1 : this.samples
          visit(block, this.isPlanar ? values : values.subarray(sample), stride, valid)
        }
      }
      onProgress?.((y + 1 - top) / (bottom - top))
    }
  }

  private decode(packed: Uint8Array, cols: number, rows: number) {
    if (this.bits === 1) {
      // A mask: rows of bits, each row filled up to whole bytes.
      const rowBytes = Math.ceil(cols / 8)
      const shape = { cols: rowBytes, rows, samples: 1, bytesPerSample: 1 }
      const { bytes } = this.unpack(packed, shape)
      const values = new Uint8Array(cols * rows)
      for (let row = 0, out = 0; row < rows; row++) {
        for (let col = 0; col < cols; col++, out++) {
          values[out] = (bytes[row * rowBytes + (col >> 3)] >> (7 - (col & 7))) & 1
        }
      }
      return { values: values as Values, valid: undefined }
    }
    const shape: BlockShape = {
      cols,
      rows,
      samples: this.isPlanar ? 1 : this.samples,
      bytesPerSample: this.bits / 8,
    }
    const { bytes, valid } = this.unpack(packed, shape)
    const isLerc = PACKINGS[this.packing] === 'LERC'
    const native = bytes.byteOffset % shape.bytesPerSample === 0 ? bytes : bytes.slice()
    if (!isLerc) {
      if (this.predictor !== 3 && !this.littleEndian) swap(native, shape.bytesPerSample)
      if (this.predictor === 2) sumRows(native, shape)
      if (this.predictor === 3) mergeRows(native, shape)
    }
    return { values: typed(native, this.format, this.bits), valid }
  }
}

function isList(value: unknown): value is ArrayLike<unknown> {
  return Array.isArray(value) || (ArrayBuffer.isView(value) && 'length' in value)
}

function isSize(value: number, most: number): boolean {
  return Number.isInteger(value) && value >= 1 && value <= most
}

type Tag = Parameters<GeoTIFFImage['fileDirectory']['loadValue']>[0]

async function list(image: GeoTIFFImage, tag: Tag): Promise<ArrayLike<number | bigint>> {
  const value = (await image.fileDirectory.loadValue(tag)) as unknown
  if (isList(value)) return value as ArrayLike<number | bigint>
  if (typeof value === 'number' || typeof value === 'bigint') return [value]
  throw new RangeError(`no ${tag}`)
}

async function lercParameters(image: GeoTIFFImage): Promise<ArrayLike<number>> {
  return (await list(image, 'LercParameters')) as ArrayLike<number>
}

/** Turns big-endian values around, in place. */
function swap(bytes: Uint8Array, size: number): void {
  if (size === 1) return
  for (let i = 0; i + size <= bytes.length; i += size) bytes.subarray(i, i + size).reverse()
}

/** Undoes horizontal differencing (predictor 2, TIFF 6.0, section 14), in place. */
function sumRows(bytes: Uint8Array<ArrayBuffer>, shape: BlockShape): void {
  const { cols, rows, samples, bytesPerSample } = shape
  const width = cols * samples
  const at = [bytes.buffer, bytes.byteOffset, width * rows] as const
  if (bytesPerSample === 8) {
    const values = new BigUint64Array(...at)
    for (let row = 0; row < rows; row++) {
      for (let i = row * width + samples; i < (row + 1) * width; i++) {
        values[i] += values[i - samples]
      }
    }
    return
  }
  const values =
    bytesPerSample === 1
      ? new Uint8Array(...at)
      : bytesPerSample === 2
        ? new Uint16Array(...at)
        : new Uint32Array(...at)
  for (let row = 0; row < rows; row++) {
    for (let i = row * width + samples; i < (row + 1) * width; i++) values[i] += values[i - samples]
  }
}

/** Undoes the floating-point predictor (3, Adobe TIFF technical note 3), in place. */
function mergeRows(bytes: Uint8Array, shape: BlockShape): void {
  const { cols, rows, samples, bytesPerSample } = shape
  const width = cols * samples
  const rowBytes = width * bytesPerSample
  const planes = new Uint8Array(rowBytes)
  const floats =
    bytesPerSample === 4 ? new Uint32Array(bytes.buffer, bytes.byteOffset, width * rows) : null
  for (let row = 0; row < rows; row++) {
    const line = bytes.subarray(row * rowBytes, (row + 1) * rowBytes)
    if (samples === 1) {
      for (let i = 0, sum = 0; i < rowBytes; i++) planes[i] = sum = (sum + line[i]) & 255
    } else {
      for (let i = 0; i < samples; i++) planes[i] = line[i]
      for (let i = samples; i < rowBytes; i++) planes[i] = (line[i] + planes[i - samples]) & 255
    }
    if (floats) {
      const [second, third, fourth] = [width, 2 * width, 3 * width]
      for (let i = 0, out = row * width; i < width; i++, out++) {
        floats[out] =
          (planes[i] << 24) |
          (planes[second + i] << 16) |
          (planes[third + i] << 8) |
          planes[fourth + i]
      }
      continue
    }
    for (let byte = 0; byte < bytesPerSample; byte++) {
      // The first plane holds the most significant bytes.
      const plane = (bytesPerSample - 1 - byte) * width
      for (let i = 0, out = byte; i < width; i++, out += bytesPerSample)
        line[out] = planes[plane + i]
    }
  }
}

function typed(bytes: Uint8Array<ArrayBuffer>, format: Format, bits: number): Values {
  const at = [bytes.buffer, bytes.byteOffset, bytes.byteLength / (bits / 8)] as const
  if (format === 'float') return bits === 64 ? new Float64Array(...at) : new Float32Array(...at)
  const signed = format === 'signed'
  if (bits === 8) return signed ? new Int8Array(...at) : new Uint8Array(...at)
  if (bits === 16) return signed ? new Int16Array(...at) : new Uint16Array(...at)
  return signed ? new Int32Array(...at) : new Uint32Array(...at)
}
