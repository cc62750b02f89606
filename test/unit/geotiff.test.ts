import { execFileSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { zlibSync } from 'fflate'
import { describe, expect, test, vi } from 'vitest'
import { openGeoTiff, readTerrain } from '../../core/terrain/geotiff'
import { cellIndex, GridLocator, groundAt, type TerrainGrid } from '../../core/terrain/grid'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { lookUpCrs } from '../../electron/node/epsg'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { madeTerrain, UTM_58N } from '../support/madeTerrain'
import {
  DEMO_TERRAIN,
  isInstalled,
  NO_SHARED_TERRAIN,
  SAN_GABRIEL_DEGREES,
  SAN_GABRIEL_UTM,
  temporaryFolder,
} from '../support/places'

/** Reads bytes as the file "made.tif". */
async function readBytes(bytes: Uint8Array): Promise<TerrainGrid> {
  const path = join(temporaryFolder(), 'made.tif')
  writeFileSync(path, bytes)
  return readTerrainFile(path)
}

/** The part of the browser's FileReader that geotiff.js needs; Node has none. */
class BlobReader {
  onload: (() => void) | null = null
  result: ArrayBuffer | null = null
  readAsArrayBuffer(blob: Blob): void {
    void blob.arrayBuffer().then((bytes) => {
      this.result = bytes
      this.onload?.()
    })
  }
}

/** A small terrain with every kind of value in it. */
const made = madeTerrain(70, 25, (east, north) =>
  Math.hypot(east, north) < 80 ? NaN : Math.fround(1200 + east * 0.31 - north * 0.17),
)

describe('what is written is read back', () => {
  test('heights, gaps, grid and CRS', async () => {
    const back = await readBytes(writeGeoTiff(made.heights, made))
    expect(back).toMatchObject({
      cols: 70,
      rows: 70,
      cellM: 25,
      westM: made.westM,
      northM: made.northM,
      crs: { epsg: 32658 },
    })
    expect(back.heights).toEqual(made.heights)
  })

  test('the demo is a metric grid with mountains and a sea', async () => {
    const demo = await readTerrainFile(DEMO_TERRAIN)
    expect([demo.cols, demo.rows, demo.cellM]).toEqual([1000, 1000, 30])
    expect(readFileSync(DEMO_TERRAIN).length).toBeLessThan(3e6)
    expect(demo.heights.reduce((a, b) => Math.max(a, b))).toBeGreaterThan(2000)
    expect(demo.heights[0]).toBe(0)
  })

  test('a dropped file is read by range, never whole', async () => {
    vi.stubGlobal('FileReader', BlobReader)
    const bytes = readFileSync(DEMO_TERRAIN)
    let largest = 0
    const whole = new Blob([bytes])
    const watched = new Proxy(whole, {
      get(target, key) {
        if (key === 'slice') {
          return (start: number, end: number) => {
            largest = Math.max(largest, end - start)
            return target.slice(start, end)
          }
        }
        if (key === 'size') return target.size
        throw new Error(`the whole file was asked for by ${String(key)}`)
      },
    })
    await readTerrain(await openGeoTiff({ name: 'demo', blob: watched }), {
      name: 'demo',
      lookUpCrs,
    })
    expect(largest).toBeLessThan(bytes.length)
  })
})

describe.skipIf(!isInstalled('gdal_translate'))('files made by GDAL', () => {
  const folder = temporaryFolder()
  const base = join(folder, 'base.tif')
  writeFileSync(base, writeGeoTiff(made.heights, made))
  // With a nodata value that whole numbers can hold as well.
  const base0 = join(folder, 'base0.tif')
  execFileSync('gdalwarp', ['-q', '-dstnodata', '0', base, base0])
  const translate = (name: string, ...options: string[]) => {
    const path = join(folder, `${name}.tif`)
    const from = options.includes('-ot') ? base0 : base
    execFileSync('gdal_translate', ['-q', ...options, from, path])
    return path
  }

  const layouts = {
    striped: [],
    tiled: ['-co', 'TILED=YES', '-co', 'BLOCKXSIZE=32', '-co', 'BLOCKYSIZE=32'],
  }
  const packings = {
    none: [],
    lzw: ['-co', 'COMPRESS=LZW'],
    'lzw-2': ['-co', 'COMPRESS=LZW', '-co', 'PREDICTOR=2'],
    deflate: ['-co', 'COMPRESS=DEFLATE'],
    'deflate-2': ['-co', 'COMPRESS=DEFLATE', '-co', 'PREDICTOR=2'],
    zstd: ['-co', 'COMPRESS=ZSTD'],
    'zstd-2': ['-co', 'COMPRESS=ZSTD', '-co', 'PREDICTOR=2'],
  }
  const types = { Int16: 0.5, UInt16: 0.5, Float32: 0, Float64: 0 }
  const variants = Object.keys(types).flatMap((type) =>
    Object.keys(layouts).flatMap((layout) =>
      Object.keys(packings)
        // Predictor 2 of 64-bit values is not in geotiff.js.
        .filter((packing) => !(type === 'Float64' && packing.endsWith('-2')))
        .map((packing) => [type, layout, packing] as const),
    ),
  )

  test.each(variants)('%s %s %s', async (type, layout, packing) => {
    const path = translate(
      `${type}-${layout}-${packing}`,
      ...['-ot', type],
      ...layouts[layout as keyof typeof layouts],
      ...packings[packing as keyof typeof packings],
    )
    await expectSameAsMade(path, types[type as keyof typeof types])
  })

  test.each(['DEFLATE', 'LZW', 'ZSTD'])(
    'Float32 with the floating-point predictor, %s',
    (packing) =>
      expectSameAsMade(
        translate(`f3-${packing}`, '-co', `COMPRESS=${packing}`, '-co', 'PREDICTOR=3'),
        0,
      ),
  )

  test('PixelIsPoint puts every post half a cell away from PixelIsArea', async () => {
    const point = await readTerrainFile(translate('point', '-mo', 'AREA_OR_POINT=Point'))
    // GDAL keeps the ground where it is and writes the tie point of the cell's centre.
    expect([point.westM, point.northM]).toEqual([made.westM, made.northM])
    expect(point.heights).toEqual(made.heights)
  })

  test('nodata spelled with more digits than a float holds', async () => {
    const path = translate('digits', '-a_nodata', '-3.4028234663852886e+38')
    expect((await readTerrainFile(path)).heights.some((height) => height < -1e30)).toBe(false)
  })

  async function expectSameAsMade(path: string, tolerance: number): Promise<void> {
    const back = await readTerrainFile(path)
    let worst = 0
    made.heights.forEach((height, i) => {
      const sameGap = Number.isNaN(back.heights[i]) && Number.isNaN(height)
      const difference = Math.abs(back.heights[i] - height)
      worst = Math.max(worst, sameGap ? 0 : Number.isNaN(difference) ? Infinity : difference)
    })
    expect(worst).toBeLessThanOrEqual(tolerance)
  }
})

describe.skipIf(!SAN_GABRIEL_UTM || !SAN_GABRIEL_DEGREES)(
  SAN_GABRIEL_UTM ? 'the same ground in metres and in degrees' : NO_SHARED_TERRAIN,
  () => {
    test('agrees on where the ground is', async () => {
      const metres = await readTerrainFile(SAN_GABRIEL_UTM!)
      const degrees = await readTerrainFile(SAN_GABRIEL_DEGREES!)
      expect(metres.origin).toMatch(/cell for cell/)
      expect(degrees.origin).toMatch(/resampled from WGS 84/)
      expect(degrees.crs.epsg).toBe(32611)
      const [a, b] = [new GridLocator(metres), new GridLocator(degrees)]
      const random = seededRandom(3)
      let [sum, squares, count] = [0, 0, 0]
      for (let i = 0; i < 5000; i++) {
        const place = a.toLatLon({ col: random() * metres.cols, row: random() * metres.rows })
        const difference = groundAt(metres, a.toGrid(place)) - groundAt(degrees, b.toGrid(place))
        if (Number.isNaN(difference)) continue
        sum += difference
        squares += difference * difference
        count++
      }
      expect(count).toBeGreaterThan(4500)
      // Half a cell of shift on these slopes would be metres of bias or spread.
      expect(Math.abs(sum / count)).toBeLessThan(0.3)
      expect(Math.sqrt(squares / count)).toBeLessThan(4)
    })
  },
)

describe('grid positions', () => {
  test('whole numbers are cell centres, edges lie half a cell out', () => {
    const locator = new GridLocator(made)
    const corner = locator.toLatLon({ col: -0.5, row: -0.5 })
    const { col, row } = locator.toGrid(corner)
    expect(col).toBeCloseTo(-0.5, 6)
    expect(row).toBeCloseTo(-0.5, 6)
    expect(cellIndex(made, { col: 69.4, row: 0.4 })).toBe(69)
    expect(cellIndex(made, { col: 69.6, row: 0.4 })).toBe(-1)
    expect(groundAt(made, { col: 3, row: 2 })).toBe(made.heights[2 * 70 + 3])
  })
})

/** A little-endian TIFF of one strip with the given tags. */
function handmadeTiff(
  { cols = 4, rows = 4, bits = 32, bands = 1, format = 3 },
  extra: [tag: number, type: 2 | 3 | 12, values: number[]][],
  value = 100,
): Uint8Array {
  const data = new Float32Array(cols * rows * bands).fill(value)
  const strip = zlibSync(new Uint8Array(data.buffer).subarray(0, (cols * rows * bands * bits) / 8))
  const tags: [number, number, number[]][] = [
    [256, 3, [cols]],
    [257, 3, [rows]],
    [258, 3, Array<number>(bands).fill(bits)],
    [259, 3, [8]],
    [262, 3, [1]],
    [273, 4, [0]],
    [277, 3, [bands]],
    [278, 3, [rows]],
    [279, 4, [strip.length]],
    [339, 3, Array<number>(bands).fill(format)],
    ...extra,
  ]
  tags.sort((a, b) => a[0] - b[0])
  const sizes: Record<number, number> = { 2: 1, 3: 2, 4: 4, 12: 8 }
  const bytes = new Uint8Array(8192)
  const view = new DataView(bytes.buffer)
  view.setUint32(0, 0x002a4949, true)
  view.setUint32(4, 8, true)
  view.setUint16(8, tags.length, true)
  let free = 2048
  view.setUint32(10 + tags.length * 12, 0, true)
  tags.forEach(([tag, type, values], i) => {
    const at = 10 + i * 12
    if (tag === 273) values = [6000]
    view.setUint16(at, tag, true)
    view.setUint16(at + 2, type, true)
    view.setUint32(at + 4, values.length, true)
    let place = at + 8
    if (values.length * sizes[type] > 4) {
      view.setUint32(place, free, true)
      place = free
      free += values.length * sizes[type]
    }
    for (const one of values) {
      if (type === 2) view.setUint8(place, one)
      else if (type === 3) view.setUint16(place, one, true)
      else if (type === 4) view.setUint32(place, one, true)
      else view.setFloat64(place, one, true)
      place += sizes[type]
    }
  })
  bytes.set(strip, 6000)
  return bytes
}

type Extra = Parameters<typeof handmadeTiff>[1]
const placed: Extra = [
  [33550, 12, [30, 30, 0]],
  [33922, 12, [0, 0, 0, 500000, 4500000, 0]],
]
const keys = (epsg: number, ...more: number[]): Extra[number] => [
  34735,
  3,
  [1, 1, 0, 2 + more.length / 4, 1024, 0, 1, 1, 3072, 0, 1, epsg, ...more],
]

describe('what a terrain file is refused for', () => {
  const scaled =
    '<GDALMetadata><Item name="SCALE" sample="0" role="scale">0.1</Item></GDALMetadata>'
  test.each([
    ['no TIFF', new TextEncoder().encode('dear pilot'), /"made.tif" is not a TIFF file/],
    ['an empty file', new Uint8Array(0), /is not a TIFF file/],
    ['no georeferencing', handmadeTiff({}, []), /carries no georeferencing/],
    ['no coordinate system', handmadeTiff({}, placed), /does not name its coordinate system/],
    ['an unknown one', handmadeTiff({}, [...placed, keys(60001)]), /not known here \(EPSG:60001\)/],
    ['one of its own', handmadeTiff({}, [...placed, keys(32767)]), /of its own making/],
    ['a datum without its grid', handmadeTiff({}, [...placed, keys(27700)]), /needs a shift grid/],
    ['a projection without an answer', handmadeTiff({}, [...placed, keys(6247)]), /has no answer/],
    ['all nodata', handmadeTiff({}, [...placed, keys(32658)], NaN), /holds no heights at all/],
    [
      'a picture',
      handmadeTiff({ bands: 3 }, [...placed, keys(32658)]),
      /3 bands, as a picture does/,
    ],
    ['bytes', handmadeTiff({ bits: 8, format: 1 }, [...placed, keys(32658)]), /8-bit values/],
    [
      'heights in feet',
      handmadeTiff({}, [...placed, keys(32658, 4099, 0, 1, 9002)]),
      /another unit/,
    ],
    ['one row', handmadeTiff({ rows: 1 }, [...placed, keys(32658)]), /only 4 x 1 cells/],
    [
      'rotation',
      handmadeTiff({}, [
        [34264, 12, [20, 20, 0, 500000, 20, -20, 0, 4500000, 0, 0, 0, 0, 0, 0, 0, 1]],
        keys(32658),
      ]),
      /is rotated against north/,
    ],
    [
      'south up',
      handmadeTiff({}, [[33550, 12, [30, -30, 0]], placed[1], keys(32658)]),
      /does not run from north to south/,
    ],
    [
      'scaled heights',
      handmadeTiff({}, [
        ...placed,
        keys(32658),
        [42112, 2, [...new TextEncoder().encode(scaled), 0]],
      ]),
      /stores its heights scaled \(scale 0.1/,
    ],
    [
      'an absurd size',
      handmadeTiff({ cols: 4, rows: 4 }, [
        [256, 3, [60000]],
        [257, 3, [60000]],
        ...placed,
        keys(32658),
      ]),
      /60000 x 60000 cells, more than/,
    ],
    [
      'the whole world',
      handmadeTiff({}, [
        [33550, 12, [90, 45, 0]],
        [33922, 12, [0, 0, 0, -180, 90, 0]],
        [34735, 3, [1, 1, 0, 2, 1024, 0, 1, 2, 2048, 0, 1, 4326]],
      ]),
      /covers far more than one site/,
    ],
  ])('%s', async (_name, bytes, sentence) => {
    const refusal = await readBytes(bytes).catch((error: Error) => error)
    expect(refusal).toBeInstanceOf(Error)
    expect((refusal as Error).name).toBe('PilotError')
    expect((refusal as Error).message).toMatch(sentence)
  })

  test('the handmade file itself is fine', async () => {
    const good = await readBytes(handmadeTiff({}, [...placed, keys(32658)]))
    expect(good.crs.name).toBe(UTM_58N.name)
    expect(good.heights).toEqual(new Float32Array(16).fill(100))
  })

  test('a cut file', async () => {
    const whole = readFileSync(DEMO_TERRAIN)
    const cut = await readBytes(whole.subarray(0, whole.length / 2)).catch((error: Error) => error)
    expect((cut as Error).message).toMatch(/cannot be read past row \d+/)
  })

  test('a file that is not there', async () => {
    await expect(readTerrainFile('/nowhere/dem.tif')).rejects.toThrow(
      'There is no file "/nowhere/dem.tif"',
    )
    expect(basename('/nowhere/dem.tif')).toBe('dem.tif')
  })
})
