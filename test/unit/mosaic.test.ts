import { describe, expect, test } from 'vitest'
import { saying } from '../../core/words/say'
import { GridLocator, groundAt, type GridFrame, type TerrainGrid } from '../../core/terrain/grid'
import { inspectFile } from '../../core/terrain/inspect'
import { lookAt } from '../../core/terrain/look'
import { TerrainSet } from '../../core/terrain/terrainSet'
import { TerrainFile } from '../../core/terrain/terrainFile'
import { fillVoids } from '../../core/terrain/voids'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { lookUpCrs } from '../../electron/node/epsg'
import { openTerrainFiles, readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { madeTerrain, UTM_58N } from '../support/madeTerrain'
import { NO_SHARED_TERRAIN, SAN_GABRIEL_UTM, sharedFile } from '../support/places'
import { bytesOf, openMade, tiffDirectories, type Tag } from '../support/terrainFiles'

const hills = (east: number, north: number) =>
  600 + 150 * Math.sin(east / 700) * Math.cos(north / 500) + east / 50

/** Ground of a function of easting and northing, on any frame. */
function groundOn(
  { cols, rows, westM, northM, cellM, crs }: GridFrame,
  heightM: (x: number, y: number) => number,
): GridFrame & { heights: Float32Array } {
  const heights = Float32Array.from({ length: cols * rows }, (_, i) =>
    heightM(westM + ((i % cols) + 0.5) * cellM, northM - (Math.floor(i / cols) + 0.5) * cellM),
  )
  return { cols, rows, westM, northM, cellM, crs, heights }
}

async function setOf(...grids: (GridFrame & { heights: Float32Array })[]): Promise<TerrainSet> {
  return new TerrainSet(
    await Promise.all(
      grids.map((grid, i) => openMade(writeGeoTiff(grid.heights, grid), `${'abcdefgh'[i]}.tif`)),
    ),
  )
}

/** A part of a terrain as a raster of its own. */
function cutOut(whole: TerrainGrid, col: number, row: number, cols: number, rows: number) {
  const { cellM, westM, northM, crs } = whole
  const heights = new Float32Array(cols * rows)
  for (let r = 0; r < rows; r++) {
    const from = (row + r) * whole.cols + col
    heights.set(whole.heights.subarray(from, from + cols), r * cols)
  }
  const place = { westM: westM + col * cellM, northM: northM - row * cellM }
  return { cols, rows, cellM, crs, ...place, heights }
}

/** Largest step between neighbours, row by row and column by column. */
function largestStep({ heights, cols, rows }: TerrainGrid): number {
  let most = 0
  for (let row = 0; row < rows - 1; row++) {
    for (let col = 0; col < cols - 1; col++) {
      const i = row * cols + col
      const steps = [heights[i + 1] - heights[i], heights[i + cols] - heights[i]]
      for (const step of steps) if (Math.abs(step) > most) most = Math.abs(step)
    }
  }
  return most
}

describe('several files as one ground', () => {
  const whole = madeTerrain(120, 30, hills)

  test.skipIf(!SAN_GABRIEL_UTM)(
    `the two overlapping tiles equal the whole to the cell${SAN_GABRIEL_UTM ? '' : `, ${NO_SHARED_TERRAIN}`}`,
    async () => {
      const [west, east] = ['west', 'east'].map((side) => sharedFile(`terrain/san-gabriel-utm-${side}.tif`)!) // prettier-ignore
      const { heights, ...frame } = await readTerrainFile(SAN_GABRIEL_UTM!)
      for (const paths of [
        [west, east],
        [east, west],
      ]) {
        const mosaic = await (await openTerrainFiles(paths)).read({ lookUpCrs })
        expect(mosaic).toMatchObject({ cols: frame.cols, rows: frame.rows, westM: frame.westM })
        expect(mosaic.northM).toBe(frame.northM)
        let different = 0
        heights.forEach((height, i) => {
          if (!Object.is(height, mosaic.heights[i])) different++
        })
        expect(different).toBe(0)
      }
    },
  )

  test('tiles side by side, overlapping or with a corner missing', async () => {
    const tiles = [
      cutOut(whole, 0, 0, 60, 70),
      cutOut(whole, 60, 0, 60, 60),
      cutOut(whole, 0, 65, 64, 55),
    ]
    const { heights, cols, rows } = await (await setOf(...tiles)).read({ lookUpCrs })
    expect([cols, rows]).toEqual([120, 120])
    for (let row = 0; row < 120; row++) {
      for (let col = 0; col < 120; col++) {
        const isThere = row < 60 || col < 60 || (row >= 65 && col < 64)
        const i = row * 120 + col
        const expected = isThere ? Math.fround(whole.heights[i]) : NaN
        expect(Object.is(heights[i], expected), `${col},${row}`).toBe(true)
      }
    }
  })

  test('a fine tile lies in a coarse one without a step or a gap, though they disagree', async () => {
    const coarse = groundOn({ ...whole, heights: undefined } as GridFrame, (x, y) => hills(x - 5e5, y - 4.56e6) + 3) // prettier-ignore
    const fine = groundOn(
      { cols: 100, rows: 90, cellM: 10, westM: 499_507, northM: 4_560_403, crs: UTM_58N },
      (x, y) => hills(x - 5e5, y - 4.56e6),
    )
    const mosaic = await (await setOf(coarse, fine)).read({ lookUpCrs })
    expect(mosaic.cellM).toBe(10)
    // The grid is the fine tile's, so that its outermost cells may reach past the coarse ground.
    mosaic.heights.forEach((height, i) => {
      const [col, row] = [i % mosaic.cols, Math.floor(i / mosaic.cols)]
      const isRim = col === 0 || row === 0 || col === mosaic.cols - 1 || row === mosaic.rows - 1
      expect(!isRim && Number.isNaN(height), `${col}, ${row}`).toBe(false)
    })
    const own = await (await setOf(coarse)).read({ lookUpCrs, cellM: 10 })
    // The 3 m between the two are spread over the border.
    expect(largestStep(mosaic)).toBeLessThan(largestStep(own) + 1)
    const locator = new GridLocator(mosaic)
    const inside = locator.toGrid(new GridLocator(fine).toLatLon({ col: 50, row: 45 }))
    expect(groundAt(mosaic, inside)).toBeCloseTo(fine.heights[45 * 100 + 50], 2)
  })

  test('tiles in two zones and in degrees meet without a gap', async () => {
    const at = { cols: 90, rows: 90, cellM: 30 }
    const zone57 = (await lookUpCrs(32657))!
    // The border between the zones, at 162 degrees east, 41 north; the ground is one function of
    // latitude and longitude.
    const height = (frame: GridFrame) => {
      const locator = new GridLocator(frame)
      const heights = Float32Array.from({ length: frame.cols * frame.rows }, (_, i) => {
        const { latDeg, lonDeg } = locator.toLatLon({
          col: i % frame.cols,
          row: Math.floor(i / frame.cols),
        })
        return bumps(latDeg, lonDeg)
      })
      return { ...frame, heights }
    }
    const bumps = (lat: number, lon: number) =>
      500 + 100 * Math.sin(lat * 300) + 100 * Math.cos(lon * 250)
    const [x57, y57] = spot(zone57, 41, 162)
    const [x58, y58] = spot(UTM_58N, 41, 162)
    const west = height({ ...at, crs: zone57, westM: Math.round(x57) - 2400, northM: Math.round(y57) + 1350 }) // prettier-ignore
    const east = height({ ...at, crs: UTM_58N, westM: Math.round(x58) - 300, northM: Math.round(y58) + 1350 }) // prettier-ignore
    const mosaic = await (await setOf(west, east)).read({ lookUpCrs })
    const locator = new GridLocator(mosaic)
    const random = seededRandom(3)
    for (let i = 0; i < 500; i++) {
      const lat = 41 + 0.008 * (random() - 0.5)
      const lon = 162 + 0.05 * (random() - 0.5)
      const here = groundAt(mosaic, locator.toGrid({ latDeg: lat, lonDeg: lon }))
      expect(Math.abs(here - bumps(lat, lon)), `${lat},${lon}`).toBeLessThan(0.3)
    }
  })

  test('a hole in a fine tile shows the coarse one, and a hole in both stays', async () => {
    const fine = cutOut(whole, 20, 20, 60, 60)
    fine.heights[30 * 60 + 30] = NaN
    const coarse = await (await setOf(whole)).read({ lookUpCrs, cellM: 60 })
    const holed = { ...coarse, heights: coarse.heights.slice() }
    const both = await (await setOf(fine, coarse)).read({ lookUpCrs })
    expect(both.heights.some((height) => Number.isNaN(height))).toBe(false)
    for (let row = 24; row <= 26; row++) holed.heights.fill(NaN, row * 60 + 24, row * 60 + 27)
    const open = await (await setOf(fine, holed)).read({ lookUpCrs })
    expect(open.heights[50 * 120 + 50]).toBeNaN()
    expect([...open.heights].filter((height) => Number.isNaN(height)).length).toBeLessThanOrEqual(9)
  })

  test('a hundred tiles of a kilometre', async () => {
    const ground = madeTerrain(500, 20, hills)
    const tiles = Array.from({ length: 100 }, (_, i) =>
      cutOut(ground, (i % 10) * 50, Math.floor(i / 10) * 50, 50, 50),
    )
    const files = await Promise.all(
      tiles.map((tile, i) => openMade(writeGeoTiff(tile.heights, tile), `tile-${i}.tif`)),
    )
    const set = new TerrainSet(files)
    expect(set.sheets.length).toBe(1)
    expect(set.name).toBe('tile-0.tif and 99 more')
    expect((await set.read({ lookUpCrs })).heights).toEqual(ground.heights)
  })
})

function spot(crs: TerrainGrid['crs'], latDeg: number, lonDeg: number): [number, number] {
  const frame = { cols: 1, rows: 1, cellM: 1, westM: -0.5, northM: 0.5, crs }
  const { col, row } = new GridLocator(frame).toGrid({ latDeg, lonDeg })
  return [col, -row]
}

describe('voids', () => {
  const plane = (col: number, row: number) => 100 + 3 * col - 2 * row

  function holed(holes: readonly (readonly [col: number, row: number])[]): Float32Array {
    const heights = Float32Array.from({ length: 400 }, (_, i) => plane(i % 20, Math.floor(i / 20)))
    for (const [col, row] of holes) heights[row * 20 + col] = NaN
    return heights
  }
  const block = (col: number, row: number, edge: number) =>
    Array.from(
      { length: edge * edge },
      (_, i) => [col + (i % edge), row + Math.floor(i / edge)] as const,
    )

  test('small ones are filled smoothly and marked, large ones and bays of the border stay', () => {
    const small = block(3, 3, 3)
    const large = block(9, 9, 6)
    const bay = block(0, 10, 2)
    const heights = holed([...small, ...large, ...bay])
    const filled = fillVoids(heights, 20, 20, 20)!
    const marked = [...filled.keys()].filter((i) => filled[i] === 1)
    expect(marked).toEqual(small.map(([col, row]) => row * 20 + col).sort((a, b) => a - b))
    // The smoothest surface over a hole in a plane is the plane.
    for (const [col, row] of small) {
      expect(heights[row * 20 + col]).toBeCloseTo(plane(col, row), 1)
    }
    for (const [col, row] of [...large, ...bay]) expect(heights[row * 20 + col]).toBeNaN()
  })

  test('what is whole is left alone', () => {
    const heights = holed([])
    expect(fillVoids(heights, 20, 20, 1000)).toBeNull()
    expect(heights).toEqual(holed([]))
  })

  test('are filled on request alone, and said', async () => {
    const ground = madeTerrain(60, 30, hills)
    ground.heights[30 * 60 + 30] = NaN
    const set = await setOf(ground)
    expect((await set.read({ lookUpCrs })).filled).toBeNull()
    const filled = await set.read({ lookUpCrs, fillUpToCells: 10 })
    expect(filled.filled![30 * 60 + 30]).toBe(1)
    expect(filled.heights[30 * 60 + 30]).toBeCloseTo(hills(15, -15), 0)
  })
})

describe('a giant', () => {
  /** Edge of a tile and of the raster, cells. */
  const [TILE, EDGE] = [256, 40_000]
  const ACROSS = Math.ceil(EDGE / TILE)

  /**
   * 40,000 x 40,000 floats of 5 m in a few kilobytes: all tiles share two blocks of bytes, one of
   * 700 m and one of 900 m, in turn.
   */
  function giant(hasOverview: boolean): TerrainFile | Promise<TerrainFile> {
    const blockBytes = TILE * TILE * 4
    const raster = (edge: number, isOverview: boolean): Tag[] => {
      const across = Math.ceil(edge / TILE)
      const offsets = Array.from({ length: across * across }, (_, i) => {
        const isHigh = isOverview ? false : (i + Math.floor(i / across)) % 2 === 1
        return isHigh ? blockBytes : 0
      })
      return [
        [254, 4, [isOverview ? 1 : 0]],
        [256, 4, [edge]],
        [257, 4, [edge]],
        [258, 3, [32]],
        [259, 3, [1]],
        [262, 3, [1]],
        [277, 3, [1]],
        [322, 3, [TILE]],
        [323, 3, [TILE]],
        [339, 3, [3]],
        [324, 16, offsets],
        [325, 4, offsets.map(() => blockBytes)],
        ...(isOverview
          ? []
          : ([
              [33550, 12, [5, 5, 0]],
              [33922, 12, [0, 0, 0, 400_000, 4_600_000, 0]],
              [34735, 3, [1, 1, 0, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32658]],
            ] as Tag[])),
      ]
    }
    const directories = [raster(EDGE, false), ...(hasOverview ? [raster(EDGE / 32, true)] : [])]
    const size = tiffDirectories(directories, { isBig: true }).length
    // Offsets are relative to the blocks, which come behind the directories.
    const moved = directories.map((tags) =>
      tags.map(([tag, type, values]): Tag =>
        tag === 324
          ? [tag, type, values.map((offset) => size + Number(offset))]
          : [tag, type, values],
      ),
    )
    const bytes = new Uint8Array(size + 2 * blockBytes)
    bytes.set(tiffDirectories(moved, { isBig: true }))
    const blocks = new Float32Array(TILE * TILE * 2)
    blocks.fill(700, 0, TILE * TILE).fill(900, TILE * TILE)
    bytes.set(new Uint8Array(blocks.buffer), size)
    return TerrainFile.fromBytes(bytesOf(bytes), { name: 'giant.tif' }, { lookUpCrs })
  }

  test.each([true, false])(
    'opens by its overviews or by a sample (%s), and is cut',
    async (has) => {
      const file = await giant(has)
      expect(file.lattice).toMatchObject({ cols: EDGE, rows: EDGE })
      const set = new TerrainSet([file])
      const look = await lookAt(set, [await inspectFile(file)], { lookUpCrs })
      expect(look.files[0].isSample).toBe(true)
      expect(look.overview.cols).toBeLessThanOrEqual(500)
      const known = [...look.overview.heights].filter((height) => !Number.isNaN(height))
      expect(known.length).toBeGreaterThan(0.9 * look.overview.heights.length)
      expect(known.every((height) => height >= 700 && height <= 900)).toBe(true)
      // All of it is more than a site: a window is suggested, of the file's own cells.
      expect(look.finestCellM).toBe(5)
      expect(look.suggestion.window).toMatchObject({ eastWestM: 20_000, northSouthM: 20_000 })
      await expect(set.read({ lookUpCrs })).rejects.toThrow(
        /choose a smaller window or a wider cell/,
      )

      const centre = new GridLocator({ ...look.overview, crs: UTM_58N, westM: 400_000, northM: 4_600_000, cellM: 5 }).toLatLon({ col: 20_000, row: 20_000 }) // prettier-ignore
      const window = { centre, eastWestM: 6000, northSouthM: 3000 }
      const site = await set.read({ lookUpCrs, window })
      expect(site.cellM).toBe(5)
      expect(Math.abs(site.cols - 1200)).toBeLessThanOrEqual(2)
      expect(Math.abs(site.rows - 600)).toBeLessThanOrEqual(2)
      const [firstCol, firstRow] = [(site.westM - 400_000) / 5, (4_600_000 - site.northM) / 5]
      site.heights.forEach((height, i) => {
        const col = firstCol + (i % site.cols)
        const row = firstRow + Math.floor(i / site.cols)
        const tile = Math.floor(row / TILE) * ACROSS + Math.floor(col / TILE)
        const isHigh = (tile + Math.floor(tile / ACROSS)) % 2 === 1
        if (height !== (isHigh ? 900 : 700)) throw new Error(`cell ${col}, ${row} is ${height}`)
      })
      const coarse = await set.read({ lookUpCrs, window, cellM: 20 })
      expect(coarse.cellM).toBe(20)
      expect(saying(coarse.origin)).toBe('the mean of 4 x 4 cells of the file')
    },
  )

  test('a window beside the ground, or on voids, is a sentence', async () => {
    const set = await setOf(madeTerrain(60, 30, (east) => (east < 0 ? NaN : 5)))
    const read = (latDeg: number, lonDeg: number, edgeM: number) =>
      set.read({
        lookUpCrs,
        window: { centre: { latDeg, lonDeg }, eastWestM: edgeM, northSouthM: edgeM },
      })
    await expect(read(12, 34, 2000)).rejects.toThrow(/lies beside the terrain "a.tif"/)
    const west = new GridLocator(madeTerrain(60, 30, () => 0)).toLatLon({ col: 10, row: 30 })
    await expect(read(west.latDeg, west.lonDeg, 300)).rejects.toThrow(
      /holds no heights in this window/,
    )
  })
})
