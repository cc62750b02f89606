import { execFileSync } from 'node:child_process'
import { describe, expect, test } from 'vitest'
import {
  COORDINATE_STYLES,
  formatCoordinates,
  parseCoordinates,
} from '../../core/geodesy/coordinates'
import { geodesic } from '../../core/geodesy/geodesic'
import { seededRandom } from '../support/exactReference'
import { isInstalled } from '../support/places'

describe('coordinates', () => {
  test.each([
    ['41.20183, 166.32166', 41.20183, 166.32166],
    ['41.20183 166.32166', 41.20183, 166.32166],
    ['-41.2; -0.5', -41.2, -0.5],
    ['41,20183; 166,32166', 41.20183, 166.32166],
    ['41.20183° N, 166.32166° E', 41.20183, 166.32166],
    ['166.32166E 41.20183N', 41.20183, 166.32166],
    ['41°12′06.6″ S, 166°19′18.0″ W', -(41 + 12 / 60 + 6.6 / 3600), -(166 + 19.3 / 60)],
    [`41 12 6.6 N 166 19 18 E`, 41 + 12 / 60 + 6.6 / 3600, 166 + 19.3 / 60],
    ["N41°12.11' E166°19.3'", 41 + 12.11 / 60, 166 + 19.3 / 60],
    ['-0 30 0, 10 0 0', -0.5, 10],
    ['46,5, 7,5', 46.5, 7.5],
    ["46°30,5' N 7°30,5' E", 46 + 30.5 / 60, 7 + 30.5 / 60],
  ])('reads %s', (text, latDeg, lonDeg) => {
    const at = parseCoordinates(text)!
    expect(at.latDeg).toBeCloseTo(latDeg, 9)
    expect(at.lonDeg).toBeCloseTo(lonDeg, 9)
  })

  test.each([
    '',
    'Durrask',
    '41',
    '41 N',
    '91, 5',
    '5, 181',
    '41 61 0 N 5 0 0 E',
    '1 2 3',
    '41 N 42 N',
    '58 T 1',
    '33UXP04 1',
    '32TLT',
    '33UXP04',
    '46.5 30 N 7 10 E',
    '40.4 N 3.7 O',
    '33S 300000 3000000 5',
    '33T 300000 1000000',
    '<b>1</b>, 2',
  ])('does not take "%s" for a position', (text) => expect(parseCoordinates(text)).toBeNull())

  // Published pairs, from memory: the National Grid's own example (Jefferson Pier, Washington) and the
  // Military Grid's usual one on Hawaii, both to be found in the reference works on those grids.
  test.each([
    ['18SUJ2337106519', 38.88972, -77.03654],
    ['4QFJ1234567890', 21.4098, -157.91608],
  ])('MGRS %s', (text, latDeg, lonDeg) => {
    const at = parseCoordinates(text)!
    expect(geodesic(at, { latDeg, lonDeg }).distanceM).toBeLessThan(30)
    expect(formatCoordinates(at, 'mgrs').replaceAll(' ', '')).toBe(text)
  })

  test.skipIf(!isInstalled('cs2cs'))("UTM agrees with PROJ's cs2cs", () => {
    const at = { latDeg: 41.20183, lonDeg: 166.32166 }
    const [east, north] = execFileSync('cs2cs', ['-f', '%.0f', 'EPSG:4326', 'EPSG:32658'], {
      input: `${at.latDeg} ${at.lonDeg}`,
      encoding: 'utf8',
    }).split(/\s+/)
    expect(formatCoordinates(at, 'utm')).toBe(`58T ${east} ${north}`)
    // Southern Norway lies in zone 32 though its meridian would say 31.
    expect(formatCoordinates({ latDeg: 60, lonDeg: 5 }, 'utm')).toMatch(/^32V 2\d{5} 66\d{5}$/)
    expect(formatCoordinates({ latDeg: -43.6, lonDeg: 170.2 }, 'utm')).toMatch(/^59G /)
    // In the far south "S" is the half of the Earth; in its own band it is the band.
    const falklands = parseCoordinates('21S 440000 4270000', { latDeg: -51, lonDeg: -58 })!
    expect(falklands.latDeg).toBeCloseTo(-51.7, 1)
    expect(parseCoordinates('33S 300000 4000000')!.latDeg).toBeCloseTo(36.1, 1)
    expect(parseCoordinates('58N 610000 4562000')!.latDeg).toBeCloseTo(41.2, 1)
    expect(formatCoordinates({ latDeg: 87, lonDeg: 5 }, 'utm')).toBe('87.00000° N, 5.00000° E')
  })

  test('what is written is read again, in every style', () => {
    const random = seededRandom(2)
    for (let i = 0; i < 400; i++) {
      const at = { latDeg: -79 + 162 * random(), lonDeg: -180 + 360 * random() }
      for (const style of COORDINATE_STYLES) {
        const text = formatCoordinates(at, style)
        const back = parseCoordinates(text)
        expect(back, text).not.toBeNull()
        expect(geodesic(at, back!).distanceM, text).toBeLessThan(2.5)
      }
    }
    expect(formatCoordinates({ latDeg: 41.99999, lonDeg: -0.000001 }, 'dms')).toBe(
      '42°00′00.0″ N, 0°00′00.0″ W',
    )
  })
})
