import { execFileSync } from 'node:child_process'
import { readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { beforeAll, describe, expect, test } from 'vitest'
import type { LatLon } from '../../core/geodesy/earth'
import { lookUpCrs } from '../../electron/node/epsg'
import { computeClearHeights } from '../../core/coverage/clearHeights'
import { classOf } from '../../core/coverage/shares'
import { pathProfile } from '../../core/propagation/path'
import { GridLocator, cellIndex, groundAt, type TerrainGrid } from '../../core/terrain/grid'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { openTerrainFiles, readTerrainFile } from '../../electron/node/terrainFile'
import { seededRandom } from '../support/exactReference'
import { VIDEO_LINK } from '../support/madeTerrain'
import { DEMO_TERRAIN, isInstalled, SAN_GABRIEL_UTM, temporaryFolder } from '../support/places'
import { VARIANTS, type Variant } from '../support/terrainVariants'

const CELLS = 200
const FLYING_M = 60
const PLACES = 2000

describe.skipIf(!isInstalled('gdal_translate'))('the same ground, written in many ways', () => {
  const folder = temporaryFolder()
  const path = join(folder, 'base.tif')
  let base: TerrainGrid
  let judge: (variant: TerrainGrid) => ReturnType<typeof compare>

  beforeAll(async () => {
    const [source, corner] = SAN_GABRIEL_UTM
      ? [SAN_GABRIEL_UTM, ['300', '260']]
      : [DEMO_TERRAIN, ['500', '400']]
    const cut = ['-srcwin', ...corner, String(CELLS), String(CELLS), '-a_srs', 'EPSG:32611']
    const plain = join(folder, 'plain.tif')
    execFileSync('gdal_translate', ['-q', ...cut, '-ot', 'Float32', source, plain])
    const ground = await readTerrainFile(plain)
    // A hole, so that every spelling of it is seen to be one.
    for (let row = 30; row < 39; row++) {
      ground.heights.fill(NaN, row * CELLS + 20, row * CELLS + 32)
    }
    const holed = join(folder, 'holed.tif')
    writeFileSync(holed, writeGeoTiff(ground.heights, ground))
    execFileSync('gdalwarp', ['-q', '-dstnodata', '-32768', holed, path])
    base = await readTerrainFile(path)
    judge = await judgeOf(base)
  })

  test.each(VARIANTS.map((variant) => [variant.name, variant] as const))('%s', async (_name, v) => {
    const made = join(folder, `${VARIANTS.indexOf(v)}.tif`)
    v.make(spelled(v, path, folder), made)
    const set = await openTerrainFiles([made], v.assume)
    expectAgreement(v, await judge(await set.read({ lookUpCrs })))
  })
})

describe('the small files of this project, read with or without GDAL at hand', () => {
  const folder = fileURLToPath(new URL('../fixtures/', import.meta.url))
  const names = readdirSync(folder).filter((name) => name.endsWith('.tif') && name !== 'base.tif')

  test.each(names)('%s', async (name) => {
    const base = await readTerrainFile(join(folder, 'base.tif'))
    const { heights, ...frame } = await readTerrainFile(join(folder, name))
    expect(heights).toEqual(base.heights)
    expect({ ...frame, name: base.name }).toEqual({ ...base, heights: undefined })
  })
})

/** For another spelling of no data the hole itself must be written in it. */
function spelled({ name }: Variant, path: string, folder: string): string {
  const value = /^nodata (.*)$/.exec(name)?.[1] ?? (/^UInt/.test(name) ? '0' : null)
  if (value === null || value === 'not declared') return path
  const to = join(folder, `base-${value}.tif`)
  execFileSync('gdalwarp', ['-q', '-overwrite', '-dstnodata', value, path, to])
  return to
}

interface Agreement {
  /** Heights at some 2,000 places: mean and 95th percentile of the difference, metres. */
  readonly biasM: number
  readonly mostM: number
  /** How far one ground lies beside the other, east and south, metres. */
  readonly shiftM: readonly [number, number]
  /** Share of the places where one has ground and the other has none. */
  readonly lost: number
  /** Difference of the least clearance on a profile, metres. */
  readonly profileM: number
  /** Share of the cells whose class of coverage differs. */
  readonly coverage: number
}

function expectAgreement({ agrees, shiftErrorM = 0 }: Variant, got: Agreement): void {
  if (agrees === 'exact') {
    // Heights in feet come back rounded to a 32-bit float.
    expect(got.mostM).toBeLessThan(0.001)
    expect(got.profileM).toBeLessThan(0.001)
    expect([got.lost, got.coverage]).toEqual([0, 0])
    return
  }
  if (agrees !== 'moved') {
    expect(got.mostM).toBeLessThanOrEqual(agrees.withinM + 1e-6)
    expect(got.profileM).toBeLessThanOrEqual(1.2 * agrees.withinM)
    expect(got.lost).toBe(0)
    expect(got.coverage).toBeLessThan(0.04)
    return
  }
  // Heights went through two interpolations over cells of 30 m; where they lie did not.
  const sideM = Math.max(0.5, shiftErrorM)
  expect(Math.hypot(...got.shiftM)).toBeLessThan(sideM)
  expect(Math.abs(got.biasM)).toBeLessThan(0.05 + 0.1 * shiftErrorM)
  expect(got.mostM).toBeLessThan(4 + 0.5 * shiftErrorM)
  expect(got.profileM).toBeLessThan(2)
  expect(got.lost).toBeLessThan(0.005)
  expect(got.coverage).toBeLessThan(0.03)
}

async function judgeOf(base: TerrainGrid) {
  const launch = new GridLocator(base).toLatLon({ col: 100.3, row: 110.2 })
  const fields = await fieldsOf(base, launch)
  return (variant: TerrainGrid) => compare(base, variant, launch, fields)
}

async function fieldsOf(terrain: TerrainGrid, launch: LatLon) {
  const settings = { antennaHeightM: 2, radiusM: null, sector: null, clearingM: 0 }
  return computeClearHeights(terrain, { ...settings, launch, radio: VIDEO_LINK })
}

async function compare(
  base: TerrainGrid,
  variant: TerrainGrid,
  launch: LatLon,
  fields: Awaited<ReturnType<typeof fieldsOf>>,
): Promise<Agreement> {
  const [a, b] = [new GridLocator(base), new GridLocator(variant)]
  const random = seededRandom(8)
  const pairs: { difference: number; east: number; south: number }[] = []
  const theirs = await fieldsOf(variant, launch)
  let [lost, other, cells] = [0, 0, 0]
  for (let i = 0; i < PLACES; i++) {
    const col = 2 + Math.floor(random() * (CELLS - 4))
    const row = 2 + Math.floor(random() * (CELLS - 4))
    const place = b.toGrid(a.toLatLon({ col, row }))
    const onCell = { col: Math.round(place.col), row: Math.round(place.row) }
    const isCell = Math.hypot(place.col - onCell.col, place.row - onCell.row) < 1e-4
    const there = groundAt(variant, isCell ? onCell : place)
    const at = (dCol: number, dRow: number) => base.heights[(row + dRow) * CELLS + col + dCol]
    const here = at(0, 0)
    if (Number.isNaN(here) !== Number.isNaN(there)) lost++
    if (Number.isNaN(here) || Number.isNaN(there)) continue
    const east = (at(1, 0) - at(-1, 0)) / (2 * base.cellM)
    const south = (at(0, 1) - at(0, -1)) / (2 * base.cellM)
    pairs.push({ difference: there - here, east, south })
    cells++
    const mine = classOf(fields, row * CELLS + col, FLYING_M, 0)
    if (mine !== classOf(theirs, cellIndex(variant, place), FLYING_M, 0)) other++
  }
  const sizes = pairs.map(({ difference }) => Math.abs(difference)).sort((x, y) => x - y)
  const clearanceM = (terrain: TerrainGrid) =>
    pathProfile(
      terrain,
      { ...launch, label: 'launch point', heightM: 2 },
      { ...a.toLatLon({ col: 171.2, row: 40.7 }), label: 'target', heightM: FLYING_M },
      VIDEO_LINK,
    ).worstClearance!.value
  return {
    biasM: pairs.reduce((sum, { difference }) => sum + difference, 0) / pairs.length,
    mostM: sizes[Math.floor(sizes.length * 0.95)],
    shiftM: shiftOf(pairs.filter(({ east, south }) => Number.isFinite(east + south))),
    lost: lost / PLACES,
    profileM: Math.abs(clearanceM(variant) - clearanceM(base)),
    coverage: other / cells,
  }
}

/** The shift that explains height differences best by the slopes, by least squares. */
function shiftOf(
  pairs: readonly { difference: number; east: number; south: number }[],
): [number, number] {
  let [ee, es, ss, ed, sd] = [0, 0, 0, 0, 0]
  for (const { difference, east, south } of pairs) {
    ee += east * east
    es += east * south
    ss += south * south
    ed += east * difference
    sd += south * difference
  }
  const determinant = ee * ss - es * es
  return [(ed * ss - sd * es) / determinant, (sd * ee - ed * es) / determinant]
}
