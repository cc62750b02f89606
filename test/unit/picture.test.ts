import { describe, expect, test } from 'vitest'
import { packRgba, STRIPE_PIXELS, VEILS, type Rgba } from '../../core/picture/colours'
import { contourInterval, Relief } from '../../core/picture/relief'
import { paintShading } from '../../core/picture/shading'
import { cellsOfView, tileView } from '../../core/picture/view'
import { worldPixelToLatLon } from '../../core/picture/webMercator'
import { cellIndex, GridLocator } from '../../core/terrain/grid'
import { seededRandom } from '../support/exactReference'
import { madeTerrain } from '../support/madeTerrain'

const terrain = madeTerrain(400, 30, (east, north) => 800 + 0.2 * east + 0.1 * north)
const locator = new GridLocator(terrain)

/** The map tile at a zoom that holds a grid position. */
function tileAt(col: number, row: number, zoom: number) {
  const { latDeg, lonDeg } = locator.toLatLon({ col, row })
  const lat = (latDeg * Math.PI) / 180
  const size = 2 ** zoom
  return {
    x: Math.floor(((lonDeg + 180) / 360) * size),
    y: Math.floor(((1 - Math.asinh(Math.tan(lat)) / Math.PI) / 2) * size),
    zoom,
  }
}

describe('shading on the map', () => {
  test.each([9, 12, 15])('every pixel takes the cell at its own coordinate, zoom %d', (zoom) => {
    const tile = tileAt(190, 210, zoom)
    const view = tileView(terrain, tile, 256)
    const cells = cellsOfView(terrain, view)
    const random = seededRandom(zoom)
    let wrong = 0
    for (let i = 0; i < 3000; i++) {
      const [x, y] = [Math.floor(random() * 256), Math.floor(random() * 256)]
      const place = worldPixelToLatLon(tile.x * 256 + x + 0.5, tile.y * 256 + y + 0.5, zoom)
      if (cellIndex(terrain, locator.toGrid(place)) !== cells[y * 256 + x]) wrong++
    }
    // A coordinate within a hundredth of a cell of an edge may fall either way.
    expect(wrong).toBeLessThan(30)
  })

  test('paints the class of the cell, striped where there is sight only', () => {
    const cells = Int32Array.from({ length: 40 }, (_, i) => (i < 30 ? Math.floor(i / 10) : -1))
    const fields = {
      sightM: new Float32Array([10, 40, 90]),
      fresnelM: new Float32Array([20, 70, 95]),
    }
    const pixels = new Uint32Array(40)
    paintShading(pixels, cells, { width: 10, height: 4, patternX: 0, patternY: 0 }, fields, 60)
    const clear = packRgba(VEILS.fresnelClear.colour)
    const blocked = packRgba(VEILS.blocked.colour)
    expect(new Set(pixels.slice(0, 10))).toEqual(new Set([clear]))
    expect(new Set(pixels.slice(10, 20)).size).toBe(2)
    expect(new Set(pixels.slice(20, 30))).toEqual(new Set([blocked]))
    expect(new Set(pixels.slice(30))).toEqual(new Set([0]))
    expect(STRIPE_PIXELS * 2).toBe(10)
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
    expect(VEILS.sightOnly.stripe).not.toBeNull()
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

  test('outside the terrain and over gaps nothing is painted', () => {
    const gap = madeTerrain(400, 30, () => NaN)
    expect(paint(gap, 12).some((value, i) => i % 4 === 3 && value > 0)).toBe(false)
  })

  test('contours are closer together the closer one looks', () => {
    expect(contourInterval(1, 1)).toBe(10)
    expect(contourInterval(20, 1)).toBe(200)
    expect(contourInterval(20, 0.3048)).toBe(500)
  })
})
