import { describe, expect, test } from 'vitest'
import { packRgba, VEILS, type Rgba } from '../../core/picture/colours'
import { contourInterval, Relief } from '../../core/picture/relief'
import { paintShading } from '../../core/picture/shading'
import { cellsOfView, tileView } from '../../core/picture/view'
import { worldPixelToLatLon } from '../../core/picture/webMercator'
import { classOf, COVERAGE_CLASSES } from '../../core/coverage/shares'
import type { LatLon } from '../../core/geodesy/earth'
import { cellIndex, GridLocator } from '../../core/terrain/grid'
import { lookUpCrs } from '../../electron/node/epsg'
import { seededRandom } from '../support/exactReference'
import { madeTerrain } from '../support/madeTerrain'
import { setOf } from '../support/terrainFiles'

const terrain = madeTerrain(400, 30, (east, north) => 800 + 0.2 * east + 0.1 * north)
const locator = new GridLocator(terrain)

/** The map tile at a zoom that holds a grid position. */
function tileAt(col: number, row: number, zoom: number) {
  return tileOf(locator.toLatLon({ col, row }), zoom)
}

function tileOf({ latDeg, lonDeg }: LatLon, zoom: number) {
  const lat = (latDeg * Math.PI) / 180
  const size = 2 ** zoom
  return {
    x: Math.floor(((lonDeg + 180) / 360) * size),
    y: Math.floor(((1 - Math.asinh(Math.tan(lat)) / Math.PI) / 2) * size),
    zoom,
  }
}

/** A made terrain in the Swiss national grid, and one that came in degrees. */
const nationalGrid = {
  ...terrain,
  westM: 2_600_000,
  northM: 1_150_000,
  crs: {
    name: 'CH1903+ / LV95',
    epsg: 2056,
    definition:
      '+proj=somerc +lat_0=46.95240555555556 +lon_0=7.439583333333333 +k_0=1 +x_0=2600000 +y_0=1200000 +ellps=bessel +towgs84=674.374,15.056,405.346,0,0,0,0 +units=m +no_defs',
  },
}
const degrees = { name: 'WGS 84', epsg: 4326, definition: '+proj=longlat +datum=WGS84 +no_defs' }
const fromDegrees = await (
  await setOf({
    ...{ cols: 360, rows: 300, cellM: 1 / 3600, westM: 166.1, northM: 41.2, crs: degrees },
    heights: new Float32Array(360 * 300).fill(700),
  })
).read({ lookUpCrs })

describe('shading on the map', () => {
  test.each(
    [terrain, nationalGrid, fromDegrees].flatMap((grid) =>
      [9, 12, 15].map((zoom) => [grid.crs.name, grid.origin, zoom, grid] as const),
    ),
  )(
    '%s (%s): every pixel shows the class of its coordinate, zoom %d',
    (_crs, _origin, zoom, grid) => {
      const place = new GridLocator(grid)
      const [col, row] = [Math.floor(grid.cols / 2), Math.floor(grid.rows / 2)]
      const tile = tileOf(place.toLatLon({ col, row }), zoom)
      const view = tileView(grid, tile, 256)
      // Three classes in a pattern that has nothing to do with the stripes.
      const fields = {
        sightM: Float32Array.from(grid.heights, (_, i) => (i % 7 === 0 ? 90 : 10)),
        fresnelM: Float32Array.from(grid.heights, (_, i) => (i % 5 === 0 ? 95 : 20)),
        edge: new Uint8Array(grid.heights.length).fill(255),
      }
      const pixels = new Uint32Array(256 * 256)
      paintShading(pixels, cellsOfView(grid, view), view, fields, 60, 0)
      const colours = COVERAGE_CLASSES.map((name) =>
        [VEILS[name].colour, VEILS[name].pattern?.colour ?? VEILS[name].colour].map(packRgba),
      )
      const random = seededRandom(zoom)
      let [wrong, inside] = [0, 0]
      for (let i = 0; i < 3000; i++) {
        const [x, y] = [Math.floor(random() * 256), Math.floor(random() * 256)]
        const at = worldPixelToLatLon(tile.x * 256 + x + 0.5, tile.y * 256 + y + 0.5, zoom)
        const cell = cellIndex(grid, place.toGrid(at))
        const painted = pixels[y * 256 + x]
        if (cell >= 0) inside++
        const expected = cell < 0 ? [0] : colours[classOf(fields, cell, 60, 0)]
        if (!expected.includes(painted)) wrong++
      }
      // A coordinate within a hundredth of a cell of an edge may fall either way.
      expect(wrong).toBeLessThan(30)
      expect(inside).toBeGreaterThan(50)
    },
  )

  test('paints the class of the cell, striped where there is sight only', () => {
    const cells = Int32Array.from({ length: 40 }, (_, i) => (i < 30 ? Math.floor(i / 10) : -1))
    const fields = {
      sightM: new Float32Array([10, 40, 90]),
      fresnelM: new Float32Array([20, 70, 95]),
      edge: new Uint8Array([255, 255, 255]),
    }
    const pixels = new Uint32Array(40)
    paintShading(pixels, cells, { width: 10, height: 4, patternX: 0, patternY: 0 }, fields, 60, 0)
    const clear = packRgba(VEILS.fresnelClear.colour)
    const blocked = packRgba(VEILS.blocked.colour)
    expect(new Set(pixels.slice(0, 10))).toEqual(new Set([clear]))
    expect(new Set(pixels.slice(10, 20)).size).toBe(2)
    expect(new Set(pixels.slice(20, 30))).toEqual(new Set([blocked]))
    expect(new Set(pixels.slice(30))).toEqual(new Set([0]))
    // An error of 20 m times the square root of two leaves all three open.
    paintShading(pixels, cells, { width: 10, height: 4, patternX: 0, patternY: 0 }, fields, 60, 20)
    const dots = VEILS.sightUncertain.pattern!.colour
    expect(pixels.slice(10, 30).filter((word) => word === packRgba(dots)).length).toBeGreaterThan(2)
    expect(pixels.slice(0, 10).includes(clear)).toBe(true)
  })

  test('the classes differ in lightness, so they stay apart without colour', () => {
    // Relative luminance (WCAG 2.2) over the middle grey of the relief.
    const luminance = ([red, green, blue, alpha]: Rgba) => {
      const over = [red, green, blue].map((band) => (band * alpha) / 255 + 190 * (1 - alpha / 255))
      const linear = over.map((band) => ((band / 255 + 0.055) / 1.055) ** 2.4)
      return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    }
    const clear = luminance(VEILS.fresnelClear.colour)
    const blocked = luminance(VEILS.blocked.colour)
    expect((clear + 0.05) / (blocked + 0.05)).toBeGreaterThan(2)
    for (const name of ['fresnelUncertain', 'sightOnly', 'sightUncertain'] as const) {
      expect(VEILS[name].pattern).not.toBeNull()
    }
  })
})

describe('relief', () => {
  const paint = (ground: typeof terrain, zoom: number) => {
    const pixels = new Uint8ClampedArray(256 * 256 * 4)
    new Relief(ground).paint(tileView(ground, tileAt(200, 200, zoom), 256), pixels, 1)
    return pixels
  }
  const brightness = (pixels: Uint8ClampedArray) => {
    let [sum, count] = [0, 0]
    for (let i = 0; i < pixels.length; i += 4) {
      if (pixels[i + 3] === 0) continue
      sum += pixels[i] + pixels[i + 1] + pixels[i + 2]
      count++
    }
    return sum / count / 3
  }

  test('slopes toward the north-west are lit, away from it dark', () => {
    const toward = madeTerrain(400, 30, (east, north) => 5000 + 0.4 * east - 0.4 * north)
    const away = madeTerrain(400, 30, (east, north) => 5000 - 0.4 * east + 0.4 * north)
    expect(brightness(paint(toward, 13))).toBeGreaterThan(brightness(paint(away, 13)) + 40)
  })

  test('contours lie where the ground has their height', () => {
    const zoom = 14
    const pixels = paint(terrain, zoom)
    const view = tileView(terrain, tileAt(200, 200, zoom), 256)
    const interval = contourInterval(view.pixelM, 1)
    const [x, y] = [new Float64Array(257), new Float64Array(257)]
    let [onLine, onLineSum, off, offSum] = [0, 0, 0, 0]
    for (let row = 0; row < 256; row++) {
      view.mapping.mapRow(row, x, y)
      for (let col = 0; col < 256; col++) {
        const east = (x[col] - 199.5) * 30
        const north = (199.5 - y[col]) * 30
        const steps = (800 + 0.2 * east + 0.1 * north) / interval
        const away = Math.abs(steps - Math.round(steps))
        const blue = pixels[(row * 256 + col) * 4 + 2]
        if (away < 0.02) {
          onLine++
          onLineSum += blue
        } else if (away > 0.3) {
          off++
          offSum += blue
        }
      }
    }
    expect(onLine).toBeGreaterThan(300)
    expect(onLineSum / onLine).toBeLessThan(offSum / off - 25)
  })

  test('gaps are hatched, filled voids dotted, and nothing is painted outside', () => {
    const colours = (pixels: Uint8ClampedArray) => {
      const seen = new Map<string, number>()
      for (let i = 0; i < pixels.length; i += 4) {
        const colour = pixels.slice(i, i + 4).join()
        seen.set(colour, (seen.get(colour) ?? 0) + 1)
      }
      return seen
    }
    const gap = colours(
      paint(
        madeTerrain(400, 30, () => NaN),
        12,
      ),
    )
    expect([...gap.keys()].sort()).toEqual(['158,153,142,255', '233,230,222,255'])
    expect(gap.get('158,153,142,255')! / (256 * 256)).toBeCloseTo(1 / 9, 2)

    const plane = madeTerrain(400, 30, (east) => east)
    const filled = new Uint8Array(400 * 400).fill(1)
    expect(colours(paint(plane, 12)).has('120,60,130,255')).toBe(false)
    const dots = colours(paint({ ...plane, filled }, 12)).get('120,60,130,255')!
    expect(dots / (256 * 256)).toBeCloseTo(1 / 25, 2)

    const corner = madeTerrain(20, 30, () => 5)
    expect(colours(paint(corner, 8)).get('0,0,0,0')! / (256 * 256)).toBeGreaterThan(0.9)
  })

  test('contours are closer together the closer one looks', () => {
    expect(contourInterval(1, 1)).toBe(10)
    expect(contourInterval(20, 1)).toBe(200)
    expect(contourInterval(20, 0.3048)).toBe(500)
  })
})
