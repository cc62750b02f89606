import { describe, expect, test } from 'vitest'
import { PilotError } from '../../core/errors'
import { pathProfile } from '../../core/propagation/path'
import { surfaceModelOn } from '../../core/surface/model'
import { readObstacles, standOnGrid, type Obstacle } from '../../core/surface/obstacle'
import { bareGround, buildSurface, surfaceAt } from '../../core/surface/surface'
import { bilinear, GridLocator } from '../../core/terrain/grid'
import { cellsOfShapes, shapesOnGrid, visitArea } from '../../core/terrain/shapes'
import { exactClearHeights, judge, seededRandom } from '../support/exactReference'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'
import { setOf } from '../support/terrainFiles'
import { groundOf, sweepAll } from '../support/sweepAll'

const terrain = madeTerrain(
  201,
  30,
  (east, north) => 600 + 120 * Math.sin(east / 400) * Math.cos(north / 300),
)
const locator = new GridLocator(terrain)
const NO_TREES = { heightM: 0, treeLineM: null }

/** [longitude, latitude] of metres east and north of the middle. */
const at = (east: number, north: number) => {
  const { latDeg, lonDeg } = placeOn(terrain, east, north)
  return [lonDeg, latDeg]
}
const standing = (part: Partial<Obstacle> & Pick<Obstacle, 'geometry'>) =>
  standOnGrid({ name: 'thing', kind: 'wood', heightM: 20, ...part }, locator)

describe('vegetation and surface models', () => {
  test('trees stand on all ground below the tree line', () => {
    const { bare, covered } = buildSurface(terrain, { heightM: 15, treeLineM: 620 }, null, [])
    expect(bare).toBe(terrain.heights)
    covered.forEach((top, i) => {
      const ground = terrain.heights[i]
      expect(top).toBeCloseTo(ground < 620 ? ground + 15 : ground, 3)
    })
  })

  test('where a surface model has data it says what stands there', () => {
    const model = terrain.heights.map((height, i) => (i % 3 === 0 ? NaN : height + (i % 3) * 4 - 6))
    const { covered } = buildSurface(terrain, { heightM: 12, treeLineM: null }, model, [])
    covered.forEach((top, i) => {
      // A model below the ground does not dig it away.
      const rise = [12, 0, 2][i % 3]
      expect(top).toBeCloseTo(terrain.heights[i] + rise, 3)
    })
  })

  test('nothing standing costs nothing: the same array', () => {
    const surface = buildSurface(terrain, NO_TREES, null, [])
    expect(surface.bare).toBe(terrain.heights)
    expect(surface.covered).toBe(terrain.heights)
  })

  test('a second raster is laid on the grid wherever the two overlap', async () => {
    const eastHalf = madeTerrain(101, 20, (east) => 900 + east / 10)
    const raster = { ...eastHalf, westM: 500_007, name: 'dsm.tif' }
    const model = await surfaceModelOn(terrain, await setOf(raster))
    expect(model.share).toBeGreaterThan(0.1)
    const place = locator.toLatLon({ col: 130, row: 100 })
    const there = new GridLocator(raster).toGrid(place)
    expect(model.heights[100 * 201 + 130]).toBeCloseTo(
      bilinear(eastHalf.heights, 101, 101, there.col, there.row),
      1,
    )
    expect(model.heights[100 * 201 + 60]).toBeNaN()
    const far = await setOf({ ...eastHalf, westM: 900_000, name: 'far.tif' })
    await expect(surfaceModelOn(terrain, far)).rejects.toThrow(
      /"far.tif" does not overlap the terrain/,
    )
  })
})

describe('obstacles', () => {
  test('a mast, a wall and a wood reach their height everywhere on their footprint', () => {
    const random = seededRandom(3)
    const line = [at(-900, -700), at(400, 300), at(700, -200)]
    const ring = [at(-200, 400), at(500, 500), at(300, 1100), at(-200, 400)]
    const point = at(1001, -1013)
    const bare = buildSurface(terrain, NO_TREES, null, [
      standing({ geometry: { type: 'LineString', coordinates: line } }),
      standing({ geometry: { type: 'Polygon', coordinates: [ring] } }),
      standing({ geometry: { type: 'Point', coordinates: point }, kind: 'mast', heightM: 33 }),
    ]).bare
    const rise = ([lonDeg, latDeg]: number[]) => {
      const place = locator.toGrid({ latDeg, lonDeg })
      const height = (values: Float32Array) => bilinear(values, 201, 201, place.col, place.row)
      return height(bare) - height(terrain.heights)
    }
    const between = (a: number[], b: number[], t: number) => a.map((x, i) => x + (b[i] - x) * t)
    for (let k = 0; k < 300; k++) {
      const segment = k % 2
      expect(rise(between(line[segment], line[segment + 1], random()))).toBeGreaterThan(19.9)
      const inTriangle = between(between(ring[0], ring[1], random()), ring[2], random())
      expect(rise(inTriangle)).toBeGreaterThan(19.9)
    }
    expect(rise(point)).toBeGreaterThan(32.9)
    expect(rise(at(-1500, 1500))).toBe(0)
    expect(rise(at(600, 900))).toBe(0)
  })

  test('a wire runs straight between its points, over whatever lies below', () => {
    const valley = madeTerrain(201, 30, (east) => Math.abs(east) / 2)
    const place = new GridLocator(valley)
    const end = (east: number) => {
      const { latDeg, lonDeg } = placeOn(valley, east, 0)
      return [lonDeg, latDeg]
    }
    const geometry = { type: 'LineString' as const, coordinates: [end(-1200), end(1200)] }
    const wire = standOnGrid({ name: 'span', kind: 'wire', heightM: 25, geometry }, place)
    const { bare } = buildSurface(valley, NO_TREES, null, [wire])
    for (const col of [70, 90, 100, 125]) expect(bare[100 * 201 + col]).toBeCloseTo(625, 0)
  })

  test('a wire with a point over missing ground still stands over the rest', () => {
    const gap = madeTerrain(41, 30, (east) => (east > 300 ? NaN : 100))
    const place = new GridLocator(gap)
    const end = (east: number) => {
      const { latDeg, lonDeg } = placeOn(gap, east, 0)
      return [lonDeg, latDeg]
    }
    const geometry = { type: 'LineString' as const, coordinates: [end(-300), end(450)] }
    const wire = standOnGrid({ name: 'span', kind: 'wire', heightM: 25, geometry }, place)
    const { bare } = buildSurface(gap, NO_TREES, null, [wire])
    expect(bare[20 * 41 + 15]).toBeCloseTo(125, 3)
    expect(bare[20 * 41 + 28]).toBeCloseTo(125, 3)
  })

  test('a wood across the path hides what is low behind it, and the profile says by how much', () => {
    const flat = madeTerrain(201, 30, () => 100)
    const place = new GridLocator(flat)
    const corner = (east: number, north: number) => {
      const { latDeg, lonDeg } = placeOn(flat, east, north)
      return [lonDeg, latDeg]
    }
    const ring = [corner(900, -500), corner(1200, -500), corner(1200, 500), corner(900, 500)]
    const geometry = { type: 'Polygon' as const, coordinates: [[...ring, ring[0]]] }
    const wood = standOnGrid({ name: 'wood', kind: 'wood', heightM: 22, geometry }, place)
    const surface = buildSurface(flat, NO_TREES, null, [wood])
    const profile = (heightM: number, seen = { ...surface, clearingM: 0 }) =>
      pathProfile(
        flat,
        { ...placeOn(flat, 0, 0), label: 'launch point', heightM: 2 },
        { ...placeOn(flat, 2400, 0), label: 'target', heightM },
        VIDEO_LINK,
        seen,
      )
    // Similar triangles over the wood's near edge: 2 + 20 * 2400 / 900, less a little bulge.
    expect(profile(50).inSight).toBe(false)
    expect(profile(58).inSight).toBe(true)
    expect(profile(50, { ...bareGround(flat), clearingM: 0 }).inSight).toBe(true)
    const fields = sweepAll(flat, { col: 100, row: 100 }, 2, VIDEO_LINK, surface)
    expect(fields.sightM[100 * 201 + 180]).toBeGreaterThan(52)
    expect(fields.sightM[100 * 201 + 180]).toBeLessThan(58)
    // At the wood's near edge one must be above the trees, farther in above the edge's shadow.
    expect(fields.sightM[100 * 201 + 130]).toBeCloseTo(22, 1)
    expect(fields.sightM[100 * 201 + 135]).toBeGreaterThan(22)
    const among = pathProfile(
      flat,
      { ...placeOn(flat, 950, 0), label: 'launch point', heightM: 60 },
      { ...placeOn(flat, 1000, 0), label: 'target', heightM: 10 },
      VIDEO_LINK,
      { ...surface, clearingM: 0 },
    )
    expect(among.inSight).toBe(false)
  })

  test('the sweep over a surface agrees with the exact reference, clearing and all', () => {
    const surface = buildSurface(terrain, { heightM: 12, treeLineM: 650 }, null, [
      standing({ geometry: { type: 'LineString', coordinates: [at(-900, -700), at(400, 300)] } }),
    ])
    const fields = sweepAll(terrain, { col: 88.3, row: 120.6 }, 6, VIDEO_LINK, surface)
    const settings = { ...fields.settings, clearingCells: 7 }
    const ground = groundOf(terrain, surface)
    const wide = sweepAll(
      terrain,
      { col: 88.3, row: 120.6 },
      6,
      VIDEO_LINK,
      surface,
      7 * 30 * 1.0004,
    )
    const found = judge(ground, settings, wide, { cells: 6000 })
    // Walls of one cell's width are harder than ground.
    expect(Math.max(...Object.values(found.sightPercent))).toBeLessThan(1)
    expect(found.sightMeanM).toBeLessThan(1)
    expect(found.fresnelMeanM).toBeLessThan(1)
    const bareExact = exactClearHeights(groundOf(terrain), settings, 150, 40)
    const exact = exactClearHeights(ground, settings, 150, 40)
    expect(exact.sightM).toBeGreaterThan(bareExact.sightM)
    expect(surfaceAt({ ...surface, clearingM: 100 }, terrain, { col: 3, row: 3 }, 50)).toBe(
      surface.bare[3 * 201 + 3],
    )
  })
})

describe('shapes on the grid', () => {
  test('cells in a polygon with a hole', () => {
    const square = (from: number, to: number) =>
      [
        [from, from],
        [to, from],
        [to, to],
        [from, to],
        [from, from],
      ].map(([col, row]) => ({ col, row }))
    const cells: number[] = []
    visitArea([square(1.5, 9.5), square(3.5, 6.5)], { ...terrain, cols: 20, rows: 20 }, (cell) =>
      cells.push(cell),
    )
    expect(cells.length).toBe(8 * 8 - 3 * 3)
    expect(new Set(cells).size).toBe(cells.length)
  })

  test('a line gives each of its cells once', () => {
    const shapes = shapesOnGrid(
      { type: 'LineString', coordinates: [at(-600, 0), at(600, 0)] },
      locator,
    )
    const cells = cellsOfShapes(shapes, terrain)
    expect(cells.length).toBeGreaterThanOrEqual(41)
    expect(cells.length).toBeLessThanOrEqual(43)
  })
})

describe('obstacles from GeoJSON', () => {
  const feature = (properties: object | null, geometry: object = point) => ({
    type: 'Feature',
    properties,
    geometry,
  })
  const point = { type: 'Point', coordinates: [166, 41] }
  const file = (...features: object[]) => JSON.stringify({ type: 'FeatureCollection', features })

  test('names, kinds and heights, as our own property or as open map data writes them', () => {
    const line = { type: 'LineString', coordinates: [point.coordinates, [166.1, 41]] }
    const found = readObstacles(
      file(
        feature({ height_m: 40, name: 'North mast' }),
        feature({ height: '18 m' }, line),
        feature({ height_m: 9, kind: 'building' }),
      ),
      'x.geojson',
    )
    expect(found.map(({ name, kind, heightM }) => [name, kind, heightM])).toEqual([
      ['North mast', 'mast', 40],
      ['Wire 2', 'wire', 18],
      ['Building 3', 'building', 9],
    ])
    expect(readObstacles(JSON.stringify(feature({ height_m: 5 })), 'one.geojson').length).toBe(1)
  })

  test.each([
    ['no json', 'holiday', /"f.geojson" is not GeoJSON/],
    ['other json', '{"a": 1}', /no GeoJSON FeatureCollection/],
    ['no features', file(), /holds no features/],
    [
      'no height',
      file(feature({ name: 'Span' })),
      /feature 1 of "f.geojson" \("Span"\) has no height/,
    ],
    ['no properties', file(feature(null)), /feature 1 .* has no height/],
    ['height zero', file(feature({ height_m: 0 })), /has the height "0"/],
    ['height in words', file(feature({ height: 'tall' })), /has the height "tall"/],
    [
      'no geometry',
      file(feature({ height_m: 3 }), feature({ height_m: 3 }, { type: 'Blob' })),
      /feature 2 of "f.geojson" is no point, line or area/,
    ],
    [
      'off the globe',
      file(feature({ height_m: 3 }, { type: 'Point', coordinates: [500, 4] })),
      /no longitude and latitude/,
    ],
  ])('%s is refused with a sentence', (_what, text, sentence) => {
    expect(() => readObstacles(text, 'f.geojson')).toThrow(sentence)
    expect(() => readObstacles(text, 'f.geojson')).toThrow(PilotError)
  })
})
