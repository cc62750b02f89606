import { zlibSync } from 'fflate'
import { isGeographic } from '../geodesy/crs'
import type { GridFrame } from '../terrain/grid'

/** TIFF field types by their code in the file (TIFF 6.0, section 2). */
const ASCII = 2
const SHORT = 3
const LONG = 4
const DOUBLE = 12
const FIELD_SIZE: Readonly<Record<number, number>> = {
  [ASCII]: 1,
  [SHORT]: 2,
  [LONG]: 4,
  [DOUBLE]: 8,
}

const ROWS_PER_STRIP = 64

interface Field {
  readonly tag: number
  readonly type: number
  readonly values: readonly number[]
}

/**
 * A raster on a grid as a GeoTIFF: 32-bit floats, NaN as nodata, deflate with the floating-point
 * predictor. Sources: TIFF 6.0, OGC GeoTIFF 1.1 (19-008r4), Adobe TIFF technical note 3.
 * geotiff.js can write too, but neither compressed nor a nodata value nor large rasters at speed.
 */
export function writeGeoTiff(values: Float32Array, frame: GridFrame): Uint8Array<ArrayBuffer> {
  const { cols, rows, cellM, westM, northM, crs } = frame
  const strips: Uint8Array[] = []
  for (let top = 0; top < rows; top += ROWS_PER_STRIP) {
    const bottom = Math.min(rows, top + ROWS_PER_STRIP)
    strips.push(zlibSync(predict(values.subarray(top * cols, bottom * cols), cols)))
  }
  const citation = `${crs.name}|`
  const geoKeys = [
    [1024, 0, 1, isGeographic(crs) ? 2 : 1],
    [1025, 0, 1, 1],
    [1026, 34737, citation.length, 0],
    ...(crs.epsg === null ? [] : [[isGeographic(crs) ? 2048 : 3072, 0, 1, crs.epsg]]),
  ]
  const fields = (stripOffsets: number[]): Field[] => [
    { tag: 256, type: LONG, values: [cols] },
    { tag: 257, type: LONG, values: [rows] },
    { tag: 258, type: SHORT, values: [32] },
    { tag: 259, type: SHORT, values: [8] }, // deflate
    { tag: 262, type: SHORT, values: [1] },
    { tag: 273, type: LONG, values: stripOffsets },
    { tag: 277, type: SHORT, values: [1] },
    { tag: 278, type: LONG, values: [ROWS_PER_STRIP] },
    { tag: 279, type: LONG, values: strips.map((strip) => strip.length) },
    { tag: 317, type: SHORT, values: [3] }, // floating-point predictor
    { tag: 339, type: SHORT, values: [3] }, // IEEE floating point
    { tag: 33550, type: DOUBLE, values: [cellM, cellM, 0] },
    { tag: 33922, type: DOUBLE, values: [0, 0, 0, westM, northM, 0] },
    { tag: 34735, type: SHORT, values: [1, 1, 0, geoKeys.length, ...geoKeys.flat()] },
    { tag: 34737, type: ASCII, values: ascii(citation) },
    { tag: 42113, type: ASCII, values: ascii('nan') },
  ]

  const headSize = encodeDirectory(fields(strips.map(() => 0))).length
  let offset = headSize
  const offsets = strips.map((strip) => (offset += strip.length) - strip.length)
  const file = new Uint8Array(offset)
  file.set(encodeDirectory(fields(offsets)))
  strips.forEach((strip, i) => file.set(strip, offsets[i]))
  return file
}

/** Header, the one directory and its long values, little-endian. */
function encodeDirectory(fields: readonly Field[]): Uint8Array {
  const tableEnd = 8 + 2 + fields.length * 12 + 4
  const sizes = fields.map(({ type, values }) => FIELD_SIZE[type] * values.length)
  const even = (size: number) => size + (size & 1)
  const total = sizes.reduce((sum, size) => sum + (size > 4 ? even(size) : 0), tableEnd)
  const bytes = new Uint8Array(total)
  const view = new DataView(bytes.buffer)
  view.setUint16(0, 0x4949, true)
  view.setUint16(2, 42, true)
  view.setUint32(4, 8, true)
  view.setUint16(8, fields.length, true)
  let longValues = tableEnd
  fields.forEach(({ tag, type, values }, i) => {
    const at = 10 + i * 12
    view.setUint16(at, tag, true)
    view.setUint16(at + 2, type, true)
    view.setUint32(at + 4, values.length, true)
    let place = at + 8
    if (sizes[i] > 4) {
      view.setUint32(place, longValues, true)
      place = longValues
      longValues += even(sizes[i])
    }
    for (const value of values) {
      if (type === ASCII) view.setUint8(place, value)
      else if (type === SHORT) view.setUint16(place, value, true)
      else if (type === LONG) view.setUint32(place, value, true)
      else view.setFloat64(place, value, true)
      place += FIELD_SIZE[type]
    }
  })
  return bytes
}

/** Floating-point predictor: each row's bytes sorted by significance, then differenced. */
function predict(values: Float32Array, cols: number): Uint8Array {
  const out = new Uint8Array(values.length * 4)
  const view = new DataView(new ArrayBuffer(4))
  for (let start = 0; start < values.length; start += cols) {
    const row = out.subarray(start * 4, (start + cols) * 4)
    for (let col = 0; col < cols; col++) {
      view.setFloat32(0, values[start + col])
      for (let byte = 0; byte < 4; byte++) row[byte * cols + col] = view.getUint8(byte)
    }
    for (let i = row.length - 1; i > 0; i--) row[i] -= row[i - 1]
  }
  return out
}

function ascii(text: string): number[] {
  return [...Array.from(text, (letter) => letter.charCodeAt(0) & 0x7f), 0]
}
