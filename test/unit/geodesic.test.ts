import geographiclib from 'geographiclib-geodesic'
import { describe, expect, test } from 'vitest'
import { earthBulgeM } from '../../core/geodesy/earth'
import { geodesic, normalizeLonDeg } from '../../core/geodesy/geodesic'
import { seededRandom } from '../support/exactReference'

const wgs84 = geographiclib.Geodesic.WGS84

describe('geodesic', () => {
  test('agrees with GeographicLib to 1e-6 over random lines of up to 60 km', () => {
    const random = seededRandom(11)
    for (let i = 0; i < 2000; i++) {
      const from = { latDeg: random() * 170 - 85, lonDeg: random() * 360 - 180 }
      const azimuth = random() * 360
      const distance = 10 + random() * 60_000
      const end = wgs84.Direct(from.latDeg, from.lonDeg, azimuth, distance)
      const line = geodesic(from, { latDeg: end.lat2 ?? NaN, lonDeg: end.lon2 ?? NaN })
      expect(Math.abs(line.distanceM / distance - 1)).toBeLessThan(1e-6)
      const turn = Math.abs(normalizeLonDeg(line.bearingDeg - azimuth))
      // 1e-6 of the line, seen from its start.
      expect(turn).toBeLessThan((1e-6 * 180) / Math.PI)
    }
  })

  test('crosses the antimeridian the short way', () => {
    const line = geodesic({ latDeg: 10, lonDeg: 179.9 }, { latDeg: 10, lonDeg: -179.9 })
    expect(line.distanceM).toBeCloseTo(wgs84.Inverse(10, 179.9, 10, -179.9).s12 ?? NaN, 3)
    expect(line.bearingDeg).toBeGreaterThan(89)
    expect(line.bearingDeg).toBeLessThan(91)
  })

  test('is nothing between a point and itself, and refuses opposite points', () => {
    const here = { latDeg: 46, lonDeg: 7 }
    expect(geodesic(here, here)).toEqual({ distanceM: 0, bearingDeg: 0 })
    expect(() => geodesic({ latDeg: 0, lonDeg: 0 }, { latDeg: 0.3, lonDeg: 179.7 })).toThrow(
      RangeError,
    )
  })
})

describe('earth bulge', () => {
  // Handbook form of the effective-Earth profile, heights in metres, distances in kilometres:
  // d1 d2 / (12.74 k) (Rec. ITU-R P.530 path profiles; the constant is twice the Earth's radius).
  test.each([
    [10, 20, 4 / 3],
    [25, 25, 4 / 3],
    [5, 55, 1],
    [30, 30, 0.7],
  ])('d1 %d km, d2 %d km, k %d', (d1, d2, k) => {
    const handbook = (d1 * d2) / (12.74 * k)
    expect(earthBulgeM(d1 * 1000, d2 * 1000, k) / handbook).toBeCloseTo(1, 3)
  })
})
