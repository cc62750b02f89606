import { execFileSync } from 'node:child_process'
import { describe, expect, test } from 'vitest'
import { isGeographic, isMetric, Projection, siteEpsg } from '../../core/geodesy/crs'
import { LatticeMapping } from '../../core/geodesy/lattice'
import { GridLocator } from '../../core/terrain/grid'
import { lookUpCrs } from '../../electron/node/epsg'
import { seededRandom } from '../support/exactReference'
import { madeTerrain } from '../support/madeTerrain'
import { isInstalled } from '../support/places'

describe('projection', () => {
  // J. P. Snyder, Map Projections: A Working Manual (USGS Professional Paper 1395, 1987), numerical
  // example of the ellipsoidal Transverse Mercator; the figures are from memory.
  test("gives Snyder's worked example", () => {
    const projection = new Projection({
      name: 'example',
      epsg: null,
      definition: '+proj=tmerc +lat_0=0 +lon_0=-75 +k=0.9996 +x_0=0 +y_0=0 +ellps=clrk66 +units=m',
    })
    const [x, y] = projection.forward(-73.5, 40.5)
    expect(x).toBeCloseTo(127106.5, 1)
    expect(y).toBeCloseTo(4484124.4, 1)
  })

  test.skipIf(!isInstalled('cs2cs'))(
    "agrees with PROJ's cs2cs on UTM to a millimetre",
    async () => {
      const random = seededRandom(5)
      for (const epsg of [32611, 32632, 32658, 32733, 5041]) {
        const crs = await lookUpCrs(epsg)
        const projection = new Projection(crs!)
        const points = Array.from({ length: 20 }, () => {
          if (epsg === 5041) return [random() * 360 - 180, 84.5 + random() * 5]
          const zone = epsg % 100
          const lat = epsg > 32700 ? -random() * 79 : random() * 83
          return [zone * 6 - 183 + random() * 6 - 3, lat]
        })
        const input = points.map(([lon, lat]) => `${lat} ${lon}`).join('\n')
        const output = execFileSync('cs2cs', ['-f', '%.4f', 'EPSG:4326', `EPSG:${epsg}`], { input })
        const lines = output.toString().trim().split('\n')
        points.forEach(([lon, lat], i) => {
          const [x, y] = lines[i].split(/\s+/).map(Number)
          const [ourX, ourY] = projection.forward(lon, lat)
          expect(Math.hypot(ourX - x, ourY - y)).toBeLessThan(0.001)
        })
      }
    },
  )

  // The same shifts to WGS 84 as PROJ takes where it has no shift grid at hand.
  const NATIONAL = [
    [2056, 46.6, 8.4],
    [21781, 46.6, 8.4],
    [27700, 57, -4.2],
    [31287, 47.2, 12.8],
    [31254, 47.1, 11.3],
    [2154, 44.9, 6.4],
    [3763, 40.3, -7.6],
    [2180, 49.3, 20],
    [3006, 67.5, 18],
    [3067, 68.9, 21],
    [2193, -43.6, 170.2],
    [23700, 47.9, 20],
    [28992, 51, 5.9],
    [31370, 50.2, 5.6],
    [2100, 40, 21.2],
    [29903, 52, -9.7],
    [3057, 64.5, -18],
    [3794, 46.3, 14],
    [3765, 44.5, 15.3],
    [3003, 46, 10.2],
    [2326, 22.4, 114.1],
    [2443, 33, 130],
    [5179, 37, 128],
    [3035, 47, 11],
  ] as const

  /** Coordinates by cs2cs, in the order of axes that the system has: either may come first. */
  function byCs2cs(epsg: number, points: readonly (readonly [number, number])[]): string[][] {
    const input = points.map(([lat, lon]) => `${lat} ${lon}`).join('\n')
    const output = execFileSync('cs2cs', ['-f', '%.4f', 'EPSG:4326', `EPSG:${epsg}`], {
      input,
      encoding: 'utf8',
    })
    return output
      .trim()
      .split('\n')
      .map((line) => line.split(/\s+/))
  }

  /** Most that our positions are off those of cs2cs, metres, forth, and back to where they began. */
  async function offByM(epsg: number, lat: number, lon: number) {
    const random = seededRandom(epsg)
    const points = Array.from(
      { length: 20 },
      () => [lat + 0.4 * (random() - 0.5), lon + 0.4 * (random() - 0.5)] as const,
    )
    const crs = (await lookUpCrs(epsg))!
    const projection = new Projection(crs)
    const theirs = byCs2cs(epsg, points)
    let [forthM, backM] = [0, 0]
    points.forEach(([latDeg, lonDeg], i) => {
      const [a, b] = theirs[i].map(Number)
      const [x, y] = projection.forward(lonDeg, latDeg)
      forthM = Math.max(forthM, Math.min(Math.hypot(x - a, y - b), Math.hypot(x - b, y - a)))
      const back = projection.inverse(x, y)
      const perDegree = 111_320
      const east = (back.lonDeg - lonDeg) * perDegree * Math.cos((latDeg * Math.PI) / 180)
      backM = Math.max(backM, Math.hypot((back.latDeg - latDeg) * perDegree, east))
    })
    return { crs, forthM, backM }
  }

  test.skipIf(!isInstalled('cs2cs')).each(NATIONAL)(
    "EPSG:%i agrees with PROJ's cs2cs to a centimetre, there and back",
    async (epsg, lat, lon) => {
      const { forthM, backM } = await offByM(epsg, lat, lon)
      expect(forthM).toBeLessThan(0.01)
      expect(backM).toBeLessThan(0.01)
    },
  )

  // PROJ takes another operation for these: both are off by no more than is said of them.
  test.skipIf(!isInstalled('cs2cs')).each([
    [31468, 47.5, 11.5],
    [5514, 49.1, 20.1],
    [26711, 40, -117],
    [28355, -36.5, 148.3],
    [23030, 42.6, 0.5],
    [3912, 46.3, 14],
  ])('EPSG:%i is off by no more than the app says of its datum shift', async (epsg, lat, lon) => {
    const { crs, forthM, backM } = await offByM(epsg, lat, lon)
    expect(crs.shiftErrorM).toBeGreaterThanOrEqual(1)
    expect(forthM).toBeLessThan(2 * crs.shiftErrorM!)
    expect(backM).toBeLessThan(0.01)
  })

  test('comes back to where it began', async () => {
    const projection = new Projection((await lookUpCrs(32658))!)
    const [x, y] = projection.forward(166.3, 41.2)
    const { latDeg, lonDeg } = projection.inverse(x, y)
    expect(latDeg).toBeCloseTo(41.2, 9)
    expect(lonDeg).toBeCloseTo(166.3, 9)
  })
})

describe('EPSG table', () => {
  test('knows codes by name, and says what kind they are', async () => {
    const utm = await lookUpCrs(32611)
    expect(utm?.name).toBe('WGS 84 / UTM zone 11N')
    expect(isMetric(utm!)).toBe(true)
    const degrees = await lookUpCrs(4326)
    expect(isGeographic(degrees!)).toBe(true)
    expect(isMetric(degrees!)).toBe(false)
    const feet = await lookUpCrs(2229)
    expect(isMetric(feet!)).toBe(false)
    expect(await lookUpCrs(99999)).toBeUndefined()
  })
})

describe('CRS of a site', () => {
  test.each([
    [34.3, -118.1, 32611],
    [41.2, 166.3, 32658],
    [-33, 18, 32734],
    [60, 5, 32632], // south-west Norway
    [78, 15, 32633], // Svalbard
    [85, 10, 5041],
    [-81, 10, 5042],
    [10, 180, 32601],
  ])('%d, %d is EPSG:%d', (latDeg, lonDeg, epsg) => {
    expect(siteEpsg({ latDeg, lonDeg })).toBe(epsg)
  })
})

describe('ground distance', () => {
  test('divides by the point scale factor: 0.9996 on the central meridian of UTM', () => {
    const terrain = madeTerrain(101, 100, () => 0)
    const groundCellM = new GridLocator(terrain).groundCellM({ col: 50, row: 50 })
    expect(100 / groundCellM).toBeCloseTo(0.9996, 6)
  })
})

describe('lattice mapping', () => {
  test('is exact on knots and close to a smooth mapping between them', () => {
    const exact = (x: number, y: number) => [Math.sin(x / 900) * 900, y + x * y * 1e-5] as const
    const mapping = new LatticeMapping(300, 200, exact)
    const [outX, outY] = [new Float64Array(300), new Float64Array(300)]
    let worst = 0
    for (let row = 0; row < 200; row++) {
      mapping.mapRow(row, outX, outY)
      for (let col = 0; col < 300; col++) {
        const [x, y] = exact(col, row)
        worst = Math.max(worst, Math.abs(outX[col] - x), Math.abs(outY[col] - y))
      }
    }
    expect(worst).toBeLessThan(0.02)
    mapping.mapRow(32, outX, outY)
    expect(outX[16]).toBe(exact(16, 32)[0])
  })
})
