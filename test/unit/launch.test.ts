import { describe, expect, test } from 'vitest'
import { bestAims, type Sighting } from '../../core/launch/aim'
import { judgeSpot } from '../../core/launch/exactSpot'
import { LaunchHeat, windowCols, type HeatSettings, type Target } from '../../core/launch/heat'
import {
  bestPair,
  bestSpots,
  findCandidates,
  longestGapM,
  USUAL_STAND,
} from '../../core/launch/spots'
import { checkTargets, targetsOfCells, targetsOfRoute } from '../../core/launch/targets'
import { levelGround } from '../../core/landing/flatGround'
import { groundShape } from '../../core/landing/slope'
import { AimedAntenna } from '../../core/radio/antenna'
import { wavelengthM } from '../../core/propagation/freeSpace'
import type { Link } from '../../core/radio/link'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { NO_ROUTE, waypointAt } from '../../core/route/route'
import { routeLine } from '../../core/route/routeLine'
import { bareGround } from '../../core/surface/surface'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { seededRandom } from '../support/exactReference'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'
import { groundOf } from '../support/sweepAll'

const LINK = VIDEO_PRESETS[1]

function candidatesOf(terrain: TerrainGrid, inside: Uint8Array | null = null) {
  const { heights, cols, rows, cellM } = terrain
  const { slopeDeg } = groundShape(heights, cols, rows, cellM)
  const level = levelGround(heights, cols, cellM)
  return findCandidates(heights, cols, slopeDeg, level, inside, null, USUAL_STAND)
}

function heatOf(terrain: TerrainGrid, targets: readonly Target[]) {
  const locator = new GridLocator(terrain)
  const candidates = candidatesOf(terrain)
  const middle = { col: terrain.cols / 2, row: terrain.rows / 2 }
  const settings: HeatSettings = {
    antennaHeightM: 2,
    kFactor: VIDEO_LINK.kFactor,
    fresnelFraction: 0.6,
    link: LINK,
    groundCellM: locator.groundCellM(middle),
  }
  const heat = new LaunchHeat(groundOf(terrain), candidates.window, settings)
  for (const target of targets) heat.add(target)
  return { heat, candidates }
}

describe('candidates', () => {
  const slope = madeTerrain(61, 10, (e, n) => (e > 0 ? 0.7 * e : 0.01 * e + 0.013 * n))

  test('steep ground, water and what lies outside are none', () => {
    const { mask, window, count } = candidatesOf(slope)
    expect(mask[30 * 61 + 50]).toBe(0)
    expect(mask[30 * 61 + 10]).toBe(1)
    expect(window.east).toBeLessThan(32)
    expect(count).toBeGreaterThan(1500)
    const inside = new Uint8Array(61 * 61)
    inside.fill(1, 0, 61 * 5)
    expect(candidatesOf(slope, inside).window.south).toBe(4)
  })

  test('says which limit leaves nowhere to stand', () => {
    const steep = madeTerrain(41, 10, (e) => e)
    expect(() => candidatesOf(steep)).toThrow(/most is excluded by the steepest slope/)
    expect(() => candidatesOf(madeTerrain(41, 10, () => 3))).toThrow(/level ground, which may be/)
    expect(() => candidatesOf(slope, new Uint8Array(61 * 61))).toThrow(/in the area drawn/)
    const { heights, cols, rows, cellM } = slope
    const { slopeDeg } = groundShape(heights, cols, rows, cellM)
    const far = new Float32Array(heights.length).fill(9000)
    const limits = { steepestDeg: 60, longestWalkS: 600 }
    expect(() =>
      findCandidates(heights, cols, slopeDeg, new Uint8Array(heights.length), null, far, limits),
    ).toThrow(/the longest way on foot/)
    expect(() => checkTargets([])).toThrow(/no target to see/)
  })
})

describe('search', () => {
  /** A ring of hills around, a plain inside. */
  const bowl = (extra: (e: number, n: number) => number) =>
    madeTerrain(121, 20, (e, n) => {
      const rough = 6 * Math.sin(e / 60) * Math.cos(n / 75)
      return 300 + rough + 0.004 * e + extra(e, n)
    })
  const hill = (e: number, n: number, x: number, y: number, height: number) =>
    height * Math.exp(-((e - x) ** 2 + (n - y) ** 2) / 120 ** 2)

  test('one obviously best knoll wins', () => {
    const walls = (e: number, n: number) =>
      Math.abs(Math.abs(e) - 500) < 25 && Math.abs(n) > 60 ? 40 : 0
    const terrain = bowl((e, n) => hill(e, n, 0, 0, 60) + walls(e, n))
    const cells = [...terrain.heights.keys()].filter((i) => {
      const [x, y] = [i % 121, Math.floor(i / 121)]
      return x % 15 === 7 && y % 15 === 7
    })
    const targets = targetsOfCells(cells, terrain, 25, 1, 64)
    const { heat, candidates } = heatOf(terrain, targets)
    const [best] = bestSpots(heat.sums.fresnel, candidates, null, 121, 1, 10, 5)
    const [e, n] = [((best.cell % 121) - 60) * 20, (60 - Math.floor(best.cell / 121)) * 20]
    expect(Math.hypot(e, n)).toBeLessThan(80)
    expect(best.share).toBeGreaterThan(0.5)
  })

  test('on a mirror-symmetric terrain the two mirror spots tie', () => {
    const terrain = madeTerrain(121, 20, (e, n) => {
      const x = Math.abs(e)
      return 300 + 5 * Math.sin(x / 50) * Math.cos(n / 70) + 0.003 * n + hill(x, n, 600, 0, 70)
    })
    // Targets on the mirror line.
    const targets: Target[] = Array.from({ length: 15 }, (_, k) => ({
      col: 60,
      row: 10 + k * 7,
      amslM: 330,
      weight: 1 / 15,
    }))
    const { heat, candidates } = heatOf(terrain, targets)
    const width = windowCols(candidates.window)
    const { sight } = heat.sums
    let worst = 0
    for (let i = 0; i < sight.length; i++) {
      const mirror = Math.floor(i / width) * width + (width - 1 - (i % width))
      worst = Math.max(worst, Math.abs(sight[i] - sight[mirror]))
    }
    expect(candidates.window.west).toBe(120 - candidates.window.east)
    expect(worst).toBeLessThan(2.01 / 15)
    const [first, second] = bestSpots(heat.sums.fresnel, candidates, null, 121, 1, 25, 2)
    expect(first.share).toBeCloseTo(second.share, 6)
    expect(Math.abs((first.cell % 121) - 60 + ((second.cell % 121) - 60))).toBeLessThanOrEqual(60)
  })

  test('spots are spaced apart, the best first', () => {
    const terrain = bowl(() => 0)
    const targets = targetsOfCells([...terrain.heights.keys()], terrain, 60, 1, 12)
    const { heat, candidates } = heatOf(terrain, targets)
    const spots = bestSpots(heat.sums.sight, candidates, null, 121, 1, 15, 8)
    expect(spots).toHaveLength(8)
    spots.forEach(({ cell, share }, i) => {
      if (i > 0) expect(share).toBeLessThanOrEqual(spots[i - 1].share + 1e-6)
      for (const other of spots.slice(0, i)) {
        const [dx, dy] = [
          (cell % 121) - (other.cell % 121),
          Math.floor(cell / 121) - Math.floor(other.cell / 121),
        ]
        expect(Math.hypot(dx, dy)).toBeGreaterThanOrEqual(15)
      }
    })
  })

  test('targets along a route weigh as much as asked', () => {
    const terrain = bowl(() => 0)
    const waypoints = [
      waypointAt(placeOn(terrain, 300, 300), 50),
      waypointAt(placeOn(terrain, 900, -200), 50),
    ]
    const locator = new GridLocator(terrain)
    const launch = placeOn(terrain, 0, 0)
    const route = { ...NO_ROUTE, waypoints, endsAtLaunch: true }
    const line = routeLine(terrain, locator, bareGround(terrain), launch, route)
    const targets = targetsOfRoute(line, 3, 40)
    expect(targets).toHaveLength(40)
    expect(targets.reduce((sum, { weight }) => sum + weight, 0)).toBeCloseTo(3, 9)
    // From waypoint to waypoint: the legs from and to the launch point hang on where one stands.
    expect(targets[0].flownM).toBeCloseTo(line.stations[1].distanceM, 6)
    expect(targets[39].flownM).toBeCloseTo(line.stations[2].distanceM, 6)
  })
})

describe('the pair that together sees most', () => {
  test('is not always the two best', () => {
    const hits = ['11110000', '11101000', '00001111', '00000011'].map((bits) =>
      Uint8Array.from(bits, Number),
    )
    const weights = new Array(8).fill(1)
    expect(bestPair(hits, weights)).toEqual({ first: 0, second: 2, share: 1 })
    expect(bestPair(hits.slice(0, 1), weights)).toBeNull()
  })
})

describe('the longest gap of a route', () => {
  const along = [0, 100, 200, 350, 500].map((flownM) => ({
    col: 0,
    row: 0,
    amslM: 0,
    weight: 1,
    flownM,
  }))
  const area: Target = { col: 0, row: 0, amslM: 0, weight: 1 }

  test('runs from the last target had to the next one', () => {
    expect(longestGapM([...along, area], Uint8Array.of(1, 0, 0, 1, 1, 0))).toBe(350)
    expect(longestGapM(along, Uint8Array.of(0, 0, 1, 1, 1))).toBe(200)
    expect(longestGapM(along, Uint8Array.of(1, 1, 1, 1, 1))).toBe(0)
    expect(longestGapM(along, Uint8Array.of(0, 0, 0, 0, 0))).toBe(500)
    expect(longestGapM([area], Uint8Array.of(0))).toBeNull()
  })
})

describe('aim', () => {
  const random = seededRandom(31)
  const scattered = (count: number, from: number, width: number): Sighting[] =>
    Array.from({ length: count }, () => ({
      azimuthDeg: (from + width * random()) % 360,
      elevationDeg: -3 + 25 * random(),
      baseDb: 5 + 12 * random(),
    }))

  const exhaustive = (link: Link, sightings: readonly Sighting[]) => {
    const [{ antenna, feederLossDb }] = link.branches
    const aimed = AimedAntenna.of(
      antenna,
      { azimuthDeg: 0, tiltDeg: 0 },
      wavelengthM(link.frequencyMhz),
    )
    let best = -Infinity
    for (let azimuthDeg = 0; azimuthDeg < 360; azimuthDeg++) {
      for (let tiltDeg = -30; tiltDeg <= 80; tiltDeg++) {
        const its = aimed.toward({ azimuthDeg, tiltDeg })
        let worst = Infinity
        for (const { azimuthDeg: azimuth, elevationDeg, baseDb } of sightings) {
          worst = Math.min(worst, baseDb + its.gainDbi(azimuth, elevationDeg) - feederLossDb)
        }
        best = Math.max(best, worst)
      }
    }
    return best
  }

  test.each([
    [8, 40, 60],
    [12, 300, 100],
    [5, 170, 20],
  ])(
    'one helix toward %d targets as by exhaustive search on a 1-degree grid',
    (count, from, width) => {
      const link = { ...LINK, branches: [LINK.branches[0]] }
      const sightings = scattered(count, from, width)
      const { aims, worstDb } = bestAims(link, sightings)
      expect(worstDb).toBeGreaterThan(exhaustive(link, sightings) - 0.02)
      expect(Number.isInteger(aims[0].azimuthDeg)).toBe(true)
    },
  )

  test('with a margin wanted it goes to most targets, not to the hopeless', () => {
    const link = { ...LINK, branches: [LINK.branches[0]] }
    const many = scattered(30, 350, 20).map((each) => ({ ...each, elevationDeg: 5, baseDb: 4 }))
    const hopeless = scattered(3, 175, 10).map((each) => ({ ...each, baseDb: -40 }))
    const { aims } = bestAims(link, [...many, ...hopeless], 6)
    const off = Math.abs(((aims[0].azimuthDeg + 180) % 360) - 180)
    expect(off).toBeLessThan(40)
  })

  test('two helices share the work', () => {
    const branch = LINK.branches[0]
    const link = { ...LINK, branches: [branch, { ...branch, aim: { azimuthDeg: 90, tiltDeg: 0 } }] }
    const two = [...scattered(4, 20, 10), ...scattered(4, 130, 10)]
    const { aims, worstDb } = bestAims(link, two)
    expect(worstDb).toBeGreaterThan(exhaustive({ ...link, branches: [branch] }, two) + 3)
    const apart = Math.abs(((aims[0].azimuthDeg - aims[1].azimuthDeg + 540) % 360) - 180)
    expect(apart).toBeGreaterThan(60)
  })
})

describe('exact figures of a spot', () => {
  test('on a plain all is seen, the worst target is the farthest, the sky is open', () => {
    const plain = madeTerrain(201, 25, (e, n) => 100 + 0.002 * e + 0.001 * n)
    const targets: Target[] = [300, 900, 2300].map((e) => ({
      col: 100 + e / 25,
      row: 100,
      amslM: 180,
      weight: 1,
    }))
    const spot = judgeSpot(
      plain,
      new GridLocator(plain),
      { ...bareGround(plain), clearingM: 0 },
      placeOn(plain, 0, 0),
      { antennaHeightM: 2, radio: VIDEO_LINK, link: LINK, clearingM: 0, ceilingM: 120 },
      targets,
    )
    expect([spot.sight, spot.fresnel, spot.margin]).toEqual([1, 1, 1])
    expect(spot.open).toBeGreaterThan(0.6)
    expect(spot.worstTarget).toBe(2)
    expect(spot.skyView).toBeGreaterThan(0.99)
    expect(Math.abs(spot.aims[0].azimuthDeg - 90)).toBeLessThan(8)
  })
})
