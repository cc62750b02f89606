import { execFileSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { zlibSync } from 'fflate'
import { describe, expect, test } from 'vitest'
import { saying } from '../../core/words/say'
import { TerrainFile } from '../../core/terrain/terrainFile'
import { TerrainSet } from '../../core/terrain/terrainSet'
import { cellIndex, GridLocator, groundAt } from '../../core/terrain/grid'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { lookUpCrs } from '../../electron/node/epsg'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { madeTerrain, UTM_58N } from '../support/madeTerrain'
import { openMade, readBytes, tiffDirectories, type Tag } from '../support/terrainFiles'
import {
  DEMO_TERRAIN,
  isInstalled,
  NO_SHARED_TERRAIN,
  SAN_GABRIEL_DEGREES,
  SAN_GABRIEL_UTM,
  temporaryFolder,
} from '../support/places'

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
    const file = await TerrainFile.open({ name: 'demo', blob: watched }, { lookUpCrs })
    await new TerrainSet([file]).read({ lookUpCrs })
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
      expect(saying(metres.origin)).toMatch(/cell for cell/)
      expect(saying(degrees.origin)).toMatch(/resampled from WGS 84/)
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

/** A little-endian TIFF of one strip of floats with the given tags. */
function handmadeTiff(
  { cols = 4, rows = 4, bits = 32, bands = 1, format = 3 },
  extra: readonly Tag[],
  value = 100,
): Uint8Array {
  const data = new Float32Array(cols * rows * bands).fill(value)
  const strip = zlibSync(new Uint8Array(data.buffer).subarray(0, (cols * rows * bands * bits) / 8))
  const tags: Tag[] = [
    [256, 3, [cols]],
    [257, 3, [rows]],
    [258, 3, Array<number>(bands).fill(bits)],
    [259, 3, [8]],
    [262, 3, [1]],
    [273, 4, [4096]],
    [277, 3, [bands]],
    [278, 3, [rows]],
    [279, 4, [strip.length]],
    [339, 3, Array<number>(bands).fill(format)],
  ]
  const own = extra.map(([tag]) => tag)
  const bytes = new Uint8Array(4096 + strip.length)
  bytes.set(tiffDirectories([[...tags.filter(([tag]) => !own.includes(tag)), ...extra]]))
  bytes.set(strip, 4096)
  return bytes
}

const placed: readonly Tag[] = [
  [33550, 12, [30, 30, 0]],
  [33922, 12, [0, 0, 0, 500000, 4500000, 0]],
]
const keys = (epsg: number, ...more: number[]): Tag => [
  34735,
  3,
  [1, 1, 0, 2 + more.length / 4, 1024, 0, 1, 1, 3072, 0, 1, epsg, ...more],
]

const geographic: Tag = [34735, 3, [1, 1, 0, 2, 1024, 0, 1, 2, 2048, 0, 1, 4326]]

describe('what a terrain file is refused for', () => {
  const whole = [...placed, keys(32658)]
  const huge = 0xfffffff0
  test.each([
    ['no TIFF', new TextEncoder().encode('dear pilot'), /"made.tif" is not a TIFF file/],
    ['an empty file', new Uint8Array(0), /"made.tif" is empty/],
    ['no georeferencing', handmadeTiff({}, [keys(32658)]), /carries no georeferencing/],
    ['no coordinate system', handmadeTiff({}, placed), /does not name its coordinate system/],
    [
      'an unknown one',
      handmadeTiff({}, [...placed, keys(60001)]),
      /EPSG:60001 of "made.tif" is not known here/,
    ],
    ['one of its own', handmadeTiff({}, [...placed, keys(32767)]), /of its own making/],
    ['a datum nobody ties', handmadeTiff({}, [...placed, keys(2009)]), /needs a shift grid/],
    ['a projection without an answer', handmadeTiff({}, [...placed, keys(6247)]), /has no answer/],
    ['all nodata', handmadeTiff({}, whole, NaN), /holds no heights at all/],
    [
      'a picture',
      handmadeTiff({ bands: 3, bits: 8, format: 1 }, whole),
      /is a picture \(3 bands\)/,
    ],
    ['a palette', handmadeTiff({ bits: 8, format: 1 }, [...whole, [262, 3, [3]]]), /is a picture/],
    ['five bands', handmadeTiff({ bands: 5 }, whole), /holds 5 bands/],
    ['odd bits', handmadeTiff({ bits: 24, format: 1 }, whole), /holds values of 24 bits/],
    ['half floats', handmadeTiff({ bits: 16 }, whole), /values of 16 bits \(float\)/],
    ['a picture packing', handmadeTiff({}, [...whole, [259, 3, [7]]]), /TIFF compression 7/],
    ['one row', handmadeTiff({ rows: 1 }, whole), /only 4 x 1 cells/],
    [
      'cells without size',
      handmadeTiff({}, [[33550, 12, [30, 0, 0]], ...whole.slice(1)]),
      /no size/,
    ],
    ['degrees that are metres', handmadeTiff({}, [...placed, geographic]), /look like metres/],
    [
      'feet that may be metres',
      handmadeTiff({}, [...placed, keys(2229)]),
      /does not say the unit of its heights/,
    ],
    ['an absurd size', handmadeTiff({}, [...whole, [256, 4, [huge]], [257, 4, [huge]]]), /damaged/],
    ['a size of no number', handmadeTiff({}, [...whole, [256, 2, [120, 0]]]), /damaged/],
    ['too few blocks', handmadeTiff({ rows: 4 }, [...whole, [278, 3, [1]]]), /damaged/],
    ['a block beyond the end', handmadeTiff({}, [...whole, [273, 4, [99999999]]]), /damaged/],
    ['a block of absurd length', handmadeTiff({}, [...whole, [279, 4, [huge]]]), /damaged/],
    ['a strip too short', handmadeTiff({}, [...whole, [279, 4, [5]]]), /damaged/],
    [
      'the whole world',
      handmadeTiff({}, [[33550, 12, [90, 45, 0]], [33922, 12, [0, 0, 0, -180, 90, 0]], geographic]),
      /covers far more than one site/,
    ],
  ])('%s', async (_name, bytes, sentence) => {
    const refusal = await readBytes(bytes).catch((error: Error) => error)
    expect(refusal).toBeInstanceOf(Error)
    expect((refusal as Error).name).toBe('PilotError')
    expect((refusal as Error).message).toMatch(sentence)
  })

  test('directories in a circle', async () => {
    const circle = handmadeTiff({}, whole)
    const view = new DataView(circle.buffer)
    const count = view.getUint16(8, true)
    view.setUint32(10 + count * 12, 8, true)
    expect((await readBytes(circle)).heights).toEqual(new Float32Array(16).fill(100))
  })

  test('the handmade file itself is fine', async () => {
    const good = await readBytes(handmadeTiff({}, [...placed, keys(32658)]))
    expect(good.crs.name).toBe(UTM_58N.name)
    expect(good.heights).toEqual(new Float32Array(16).fill(100))
  })

  test('a cut file', async () => {
    const whole = readFileSync(DEMO_TERRAIN)
    const cut = await readBytes(whole.subarray(0, whole.length / 2)).catch((error: Error) => error)
    expect((cut as Error).message).toMatch(/damaged or cut short/)
  })

  test('what the pilot says of a file counts', async () => {
    const bare = await openMade(handmadeTiff({}, placed), 'bare.tif', { epsg: 32658 })
    expect(bare.lattice.crs.epsg).toBe(32658)
    const feet = await openMade(handmadeTiff({}, [...placed, keys(2229)]), 'feet.tif', {
      heightUnitM: 0.3048,
    })
    const window = { col: 0, row: 0, cols: 1, rows: 1 }
    expect((await feet.read(0, window))[0]).toBeCloseTo(30.48, 4)
    const marked = await openMade(handmadeTiff({}, whole), 'made.tif', { missing: [100] })
    expect((await marked.read(0, window))[0]).toBeNaN()
  })

  test('what the pilot says does not touch files that say it themselves', async () => {
    const window = { col: 0, row: 0, cols: 1, rows: 1 }
    const said = { epsg: 32611, heightUnitM: 0.3048 }
    const metric = await openMade(handmadeTiff({}, whole), 'metric.tif', said)
    expect(metric.lattice.crs.epsg).toBe(32658)
    const stated = [...placed, keys(32658, 4099, 0, 1, 9001)]
    const inMetres = await openMade(handmadeTiff({}, stated), 'stated.tif', said)
    expect((await inMetres.read(0, window))[0]).toBe(100)
  })

  const metadata = (...items: readonly string[]): Tag => [
    42112,
    2,
    [...`<GDALMetadata>${items.join('')}</GDALMetadata>\0`].map((letter) => letter.charCodeAt(0)),
  ]
  const scaled = (scale: number, offset: number) =>
    metadata(
      `<Item name="SCALE" sample="0" role="scale">${scale}</Item>`,
      `<Item name="OFFSET" sample="0" role="offset">${offset}</Item>`,
    )
  test.each([
    [-40_000, 0.01, 0, -400],
    [-9999, 0.1, 3000, 2000.1],
    [113_000, 0.1, -10_000, 1300],
    [-32_768, 0.1, 3000, NaN],
    [-9999, 1, 0, NaN],
    [9_500_000, 0.001, 0, NaN],
  ])('%d scaled by %d from %d is %d m', async (raw, scale, offset, height) => {
    const file = await openMade(handmadeTiff({}, [...whole, scaled(scale, offset)], raw))
    const window = { col: 0, row: 0, cols: 1, rows: 1 }
    const [read] = await file.read(0, window)
    if (Number.isNaN(height)) expect(read).toBeNaN()
    else expect(read).toBeCloseTo(height, 1)
    const [value] = await file.readRaw(0, window)
    expect(Number.isNaN(value) || file.isImpossible(value)).toBe(Number.isNaN(height))
  })

  test('a unit of heights that is not known is asked for', async () => {
    const unit = (name: string) =>
      handmadeTiff({}, [...whole, metadata(`<Item name="UNITTYPE" sample="0" role="unittype">${name}</Item>`)]) // prettier-ignore
    await expect(openMade(unit('ells'))).rejects.toThrow(
      /its heights in "ells", which is not known/,
    )
    const window = { col: 0, row: 0, cols: 1, rows: 1 }
    const ells = await openMade(unit('ells'), 'ells.tif', { heightUnitM: 1.143 })
    expect((await ells.read(0, window))[0]).toBeCloseTo(114.3, 3)
    for (const name of ['Foot_US', 'US survey foot', 'ftUS']) {
      expect((await openMade(unit(name))).facts.heightUnitM).toBeCloseTo(1200 / 3937, 9)
    }
  })

  test('a second band is a mask where the file says so, and data otherwise', async () => {
    const two = (extraSamples: readonly Tag[]) =>
      handmadeTiff({ bands: 2 }, [...whole, ...extraSamples], 0)
    const window = { col: 0, row: 0, cols: 1, rows: 1 }
    const [data] = await (await openMade(two([[338, 3, [0]]]))).read(0, window)
    expect(data).toBe(0)
    const [hidden] = await (await openMade(two([[338, 3, [2]]]))).read(0, window)
    expect(hidden).toBeNaN()
  })

  test('a bare TIFF is placed by the files beside it', async () => {
    const bare = handmadeTiff({}, [])
    const worldFile = '30\n0\n0\n-30\n500015\n4499985\n'
    const projection =
      'PROJCS["WGS_1984_UTM_Zone_58N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",165.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]'
    const own = await readBytes(handmadeTiff({}, whole))
    // The usual spelling without codes is known for what it is.
    const spelled = await readBytes(bare, { tfw: worldFile, prj: projection })
    expect(spelled).toMatchObject({ westM: 500_000, northM: 4_500_000, cellM: 30 })
    expect(spelled.crs).toEqual(own.crs)
    // One that only looks like it is not, and the site gets a grid of its own.
    const shifted = projection.replace('"False_Northing",0.0', '"False_Northing",1000.0')
    const placedBeside = await readBytes(bare, { tfw: worldFile, prj: shifted })
    expect(saying(placedBeside.origin)).toBe('resampled from WGS 1984 UTM Zone 58N')
    const { latDeg, lonDeg } = new GridLocator(own).toLatLon({ col: 1.5, row: 1.5 + 1000 / 30 })
    const centre = { latDeg, lonDeg }
    expect(groundAt(placedBeside, new GridLocator(placedBeside).toGrid(centre))).toBe(100)
    const coded = projection.replace(/\]$/, ',AUTHORITY["EPSG","32658"]]')
    const known = await readBytes(bare, { tfw: worldFile, prj: coded })
    expect(known).toMatchObject({ westM: 500_000, northM: 4_500_000, cellM: 30 })
    await expect(readBytes(bare, { tfw: '30 0 zero', prj: projection })).rejects.toThrow(
      /world file of "made.tif" does not hold six numbers/,
    )
    await expect(readBytes(bare, { tfw: worldFile, prj: 'dear pilot' })).rejects.toThrow(
      /\.prj file of "made.tif" holds no coordinate system/,
    )
  })

  test('a file that is not there', async () => {
    await expect(readTerrainFile('/nowhere/dem.tif')).rejects.toThrow(
      'There is no file "/nowhere/dem.tif"',
    )
    expect(basename('/nowhere/dem.tif')).toBe('dem.tif')
  })
})
