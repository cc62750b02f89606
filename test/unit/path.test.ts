import { describe, expect, test } from 'vitest'
import { zoneSamples } from '../../core/chart/profileLayout'
import { EARTH_RADIUS_M, STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { pathProfile } from '../../core/propagation/path'
import type { TerrainGrid } from '../../core/terrain/grid'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'

function profile(terrain: TerrainGrid, fromHeightM: number, toEastM: number, toHeightM: number) {
  const reach = (terrain.cols / 2) * terrain.cellM * 0.95
  return pathProfile(
    terrain,
    { ...placeOn(terrain, -reach, 0), label: 'launch point', heightM: fromHeightM },
    { ...placeOn(terrain, -reach + toEastM, 0), label: 'target', heightM: toHeightM },
    VIDEO_LINK,
  )
}

describe('path profile', () => {
  test('over a flat Earth: sight ends at the horizon', () => {
    // Two heights over a smooth Earth see each other up to sqrt(2kR h1) + sqrt(2kR h2).
    const terrain = madeTerrain(801, 100, () => 0)
    const horizon = (h: number) => Math.sqrt(2 * STANDARD_K_FACTOR * EARTH_RADIUS_M * h)
    const reach = horizon(10) + horizon(20)
    expect(profile(terrain, 10, reach * 0.995, 20).inSight).toBe(true)
    expect(profile(terrain, 10, reach * 1.005, 20).inSight).toBe(false)
    expect(profile(terrain, 10, reach * 0.995, 20).fresnelClear).toBe(false)
  })

  test('over one knife edge: clearance is the ray less edge and bulge, at the edge', () => {
    const edge = { east: 0, height: 100 }
    const terrain = madeTerrain(401, 25, (east) => (Math.abs(east) < 26 ? edge.height : 0))
    const reach = 200.5 * 25 * 0.95
    const path = profile(terrain, 60, 2 * reach, 60)
    const d = path.distanceM / 2
    const bulge = (d * d) / (2 * STANDARD_K_FACTOR * EARTH_RADIUS_M)
    expect(path.inSight).toBe(false)
    expect(path.worstClearance?.value).toBeCloseTo(60 - edge.height - bulge, 0)
    expect(Math.abs((path.worstClearance?.distanceM ?? 0) - d)).toBeLessThan(5)
    // Rec. ITU-R P.526: F1 = sqrt(lambda d1 d2 / d), here in the middle of the path.
    const radius = Math.sqrt((0.2997925 / 5.8) * (d / 2))
    expect(path.worstFresnel?.value).toBeCloseTo((60 - edge.height - bulge) / radius, 1)
  })

  test('up a plane slope the ray keeps its height over it', () => {
    const terrain = madeTerrain(301, 20, (east) => 500 + 0.3 * east)
    const path = profile(terrain, 15, 4000, 15)
    const { clearanceM, bulgeM } = path.samples
    clearanceM.forEach((clearance, i) => expect(clearance + bulgeM[i]).toBeCloseTo(15, 1))
    expect(path.inSight).toBe(true)
  })

  test('samples run from end to end at every quarter of a cell', () => {
    const terrain = madeTerrain(101, 30, () => 7)
    const path = profile(terrain, 2, 1500, 40)
    const { distanceM, rayM, fresnelRadiusM } = path.samples
    expect(distanceM[0]).toBe(0)
    expect(distanceM.at(-1)).toBeCloseTo(path.distanceM, 6)
    expect(distanceM[1]).toBeCloseTo(7.5 / 0.9996, 2)
    expect(rayM[0]).toBeCloseTo(9, 6)
    expect(rayM.at(-1)).toBeCloseTo(47, 6)
    expect(fresnelRadiusM[0]).toBe(0)
    expect(fresnelRadiusM.at(-1)).toBe(0)
  })

  test('two ends closer than a cell have nothing between', () => {
    const path = profile(
      madeTerrain(101, 30, () => 7),
      2,
      12,
      2,
    )
    expect(path.inSight).toBe(true)
    expect(path.fresnelClear).toBe(true)
    expect(path.worstClearance).toBeNull()
  })

  test('missing data on the way leaves the answer open, unless known ground settles it', () => {
    const terrain = madeTerrain(101, 30, (east) => (Math.abs(east) < 100 ? NaN : 0))
    const path = profile(terrain, 20, 2800, 60)
    expect(path.crossesVoid).toBe(true)
    expect(path.inSight).toBeNull()
    expect(path.fresnelClear).toBeNull()
    const wall = madeTerrain(101, 30, (east) =>
      Math.abs(east) < 100 ? NaN : Math.abs(east - 300) < 40 ? 500 : 0,
    )
    expect(profile(wall, 20, 2800, 60).inSight).toBe(false)
  })
})

describe('what a path refuses', () => {
  const terrain = madeTerrain(101, 30, (east) => (east < -1300 ? NaN : 0))
  const good = { ...placeOn(terrain, 0, 0), label: 'launch point', heightM: 2 }
  const target = { ...placeOn(terrain, 600, 0), label: 'target', heightM: 60 }
  test.each([
    [
      'off the terrain',
      { ...good, latDeg: 10 },
      /launch point .* is off the terrain "made terrain"/,
    ],
    ['on missing data', { ...good, ...placeOn(terrain, -1400, 0) }, /has no data/],
    ['negative height', { ...good, heightM: -3 }, /is -3 m; heights are above ground/],
    ['height that is no number', { ...good, heightM: NaN }, /is NaN m/],
    ['infinite height', { ...good, heightM: Infinity }, /is Infinity m/],
    ['latitude that is no number', { ...good, latDeg: NaN }, /needs a latitude/],
    ['the target itself', { ...good, ...placeOn(terrain, 600, 0) }, /are the same point/],
  ])('%s', (_name, from, sentence) => {
    expect(() => pathProfile(terrain, from, target, VIDEO_LINK)).toThrow(sentence)
  })

  test.each([
    [{ frequencyMhz: NaN }, /frequency is NaN MHz/],
    [{ frequencyMhz: 0 }, /frequency is 0 MHz/],
    [{ kFactor: -1 }, /k-factor is -1/],
    [{ kFactor: Infinity }, /k-factor is Infinity/],
    [{ fresnelFraction: 2 }, /Fresnel fraction is 2/],
  ])('%o', (part, sentence) => {
    expect(() => pathProfile(terrain, good, target, { ...VIDEO_LINK, ...part })).toThrow(sentence)
  })
})

describe('the drawn outline of the zone', () => {
  test.each([2, 9, 180, 700, 3000])('of %d samples keeps to the zone', (count) => {
    const kept = zoneSamples(count)
    expect(kept[0]).toBe(0)
    expect(kept.at(-1)).toBe(count - 1)
    // An ellipse as high as a chart, in pixels.
    const radius = (i: number) => 200 * Math.sqrt((i / (count - 1)) * (1 - i / (count - 1)))
    for (let k = 1; k < kept.length; k++) {
      const [from, to] = [kept[k - 1], kept[k]]
      expect(to).toBeGreaterThan(from)
      for (let i = from; i <= to; i++) {
        const drawn = radius(from) + ((radius(to) - radius(from)) * (i - from)) / (to - from)
        expect(Math.abs(drawn - radius(i))).toBeLessThan(0.3)
      }
    }
  })
})
