import { describe, expect, test } from 'vitest'
import { prepareSweep } from '../../core/coverage/clearHeights'
import { horizonFrom } from '../../core/coverage/horizon'
import { readField } from '../../core/coverage/reading'
import { BESIDE_THE_CELL } from '../../core/coverage/radialSweep'
import { ERROR_GAINS, likelyKind } from '../../core/coverage/uncertainty'
import { HeightScale } from '../../core/picture/heightScale'
import { isolines } from '../../core/picture/isolines'
import { EARTH_RADIUS_M } from '../../core/geodesy/earth'
import { GridLocator } from '../../core/terrain/grid'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'
import { groundOf, sweepAll } from '../support/sweepAll'

const settingsAt = (terrain: ReturnType<typeof madeTerrain>, east: number, north: number) =>
  prepareSweep(terrain, {
    launch: placeOn(terrain, east, north),
    antennaHeightM: 2,
    radio: VIDEO_LINK,
    radiusM: null,
    sector: null,
    clearingM: 0,
  })

describe('readings of a field', () => {
  test('lowest, highest and share over given cells', () => {
    const field = new Float32Array([5, NaN, -3, 80, 40, 999])
    expect(readField(field, [0, 1, 2, 3, 4], 50)).toEqual({
      cells: 4,
      unanswered: 1,
      lowest: { heightM: 0, cell: 2 },
      highest: { heightM: 80, cell: 3 },
      clearShare: 0.75,
    })
    expect(readField(field, [1], 50)).toMatchObject({ cells: 0, lowest: null, highest: null })
  })
})

describe('horizon', () => {
  test('a wall in the east stands where trigonometry puts it', () => {
    const terrain = madeTerrain(401, 25, (east) => (east > 1999 ? 300 : 0))
    const { sweep, northRad } = settingsAt(terrain, 0, 0)
    const { elevationDeg, distanceM, cells } = horizonFrom(groundOf(terrain), sweep, northRad)
    const drop = 2000 ** 2 / (2 * VIDEO_LINK.kFactor * EARTH_RADIUS_M)
    const expected = (Math.atan((298 - drop) / (2000 / 0.9996)) * 180) / Math.PI
    expect(elevationDeg[90]).toBeCloseTo(expected, 1)
    expect(distanceM[90]).toBeCloseTo(2000, -2)
    expect(cells[90] % 401).toBe(280)
    expect(elevationDeg[270]).toBeLessThan(0.1)
    // At 45 degrees the wall is farther along the ray.
    expect(distanceM[45] / distanceM[90]).toBeCloseTo(Math.SQRT2, 1)
  })

  test('an azimuth is counted from true north, not from the top of the grid', () => {
    const terrain = { ...madeTerrain(401, 25, () => 0), westM: 800_000 }
    const peak = { col: 330, row: 60 }
    terrain.heights[peak.row * 401 + peak.col] = 900
    const { sweep, northRad } = settingsAt(terrain, 0, 0)
    expect(Math.abs(northRad)).toBeGreaterThan(0.02)
    const { elevationDeg } = horizonFrom(groundOf(terrain), sweep, northRad, 3600)
    const highest = elevationDeg.indexOf(Math.max(...elevationDeg)) / 10
    const gridBearing = (Math.atan2(130, 140) * 180) / Math.PI
    expect(highest).toBeCloseTo(gridBearing - (northRad * 180) / Math.PI, 0)
  })
})

describe('uncertainty', () => {
  test('the edge of a field says where the deciding ground lies', () => {
    const terrain = madeTerrain(401, 25, (east) => (Math.abs(east - 1000) < 1 ? 52 : 0))
    const { edge } = sweepAll(terrain, { col: 200, row: 200 })
    expect(edge[200 * 401 + 360] / BESIDE_THE_CELL).toBeCloseTo(1000 / 4000, 1)
    expect(edge[200 * 401 + 280] / BESIDE_THE_CELL).toBeCloseTo(1000 / 2000, 1)
  })

  test('errors of ridge, launch and target ground add up as independent ones do', () => {
    // Half-way: twice the ridge's error, once the launch's, once the target's.
    expect(ERROR_GAINS[Math.round(BESIDE_THE_CELL / 2)]).toBeCloseTo(Math.sqrt(4 + 1 + 1), 1)
    expect(ERROR_GAINS[BESIDE_THE_CELL]).toBeCloseTo(Math.SQRT2, 9)
    expect(ERROR_GAINS.every((gain, i) => i === 0 || gain <= ERROR_GAINS[i - 1])).toBe(true)
  })

  test('a terrain that errs as stated keeps its clear heights inside the band nine times in ten', () => {
    // Random errors on every ridge post: the spread of the clear height behind, against the gain.
    let state = 7
    const normal = () => {
      let sum = 0
      for (let k = 0; k < 12; k++) {
        state = (state * 1103515245 + 12345) % 2147483648
        sum += state / 2147483648
      }
      return sum - 6
    }
    const errorM = 5
    const sigma = errorM / 1.645
    const ridge = (height: number, base: number, far: number) =>
      madeTerrain(161, 25, (east) => (Math.abs(east - 1000) < 1 ? height : east < 500 ? base : far))
    const cell = 80 * 161 + 80 + 72
    const clear = (terrain: ReturnType<typeof madeTerrain>) =>
      sweepAll(terrain, { col: 80, row: 80 })
    const truth = clear(ridge(80, 0, 0))
    const band = errorM * ERROR_GAINS[truth.edge[cell]]
    let inside = 0
    const runs = 120
    for (let k = 0; k < runs; k++) {
      const erring = clear(ridge(80 + sigma * normal(), sigma * normal(), sigma * normal()))
      if (Math.abs(erring.sightM[cell] - truth.sightM[cell]) <= band) inside++
    }
    expect(inside / runs).toBeGreaterThan(0.82)
    expect(inside / runs).toBeLessThan(0.98)
  })

  test('the usual error goes by the cells', () => {
    expect(likelyKind(1).id).toBe('lidar')
    expect(likelyKind(10).id).toBe('national')
    expect(likelyKind(30).id).toBe('global')
    expect(likelyKind(90).id).toBe('coarse')
  })
})

describe('the continuous layer', () => {
  test('isolines of a cone are circles at their height, labelled by it', () => {
    const terrain = madeTerrain(301, 20, () => 0)
    const field = new Float32Array(301 * 301)
    for (let i = 0; i < field.length; i++) {
      field[i] = Math.hypot((i % 301) - 150, Math.floor(i / 301) - 150)
    }
    const lines = isolines(field, terrain, [50, 100])
    const locator = new GridLocator(terrain)
    expect(lines.map(({ value }) => value)).toEqual([50, 100])
    for (const { value, line } of lines) {
      for (const place of line) {
        const { col, row } = locator.toGrid(place)
        expect(Math.abs(Math.hypot(col - 150, row - 150) - value)).toBeLessThan(0.1)
      }
    }
  })

  test('isolines end at the border and where there is no answer', () => {
    const terrain = madeTerrain(201, 20, () => 0)
    const field = new Float32Array(201 * 201)
    for (let i = 0; i < field.length; i++) {
      const [col, row] = [i % 201, Math.floor(i / 201)]
      field[i] = row > 150 ? NaN : col
    }
    const lines = isolines(field, terrain, [80])
    const rows = lines.flatMap(({ line }) =>
      line.map((place) => new GridLocator(terrain).toGrid(place)),
    )
    expect(lines.length).toBe(1)
    expect(rows.every(({ col }) => Math.abs(col - 80) < 0.01)).toBe(true)
    expect(Math.max(...rows.map(({ row }) => row))).toBeLessThanOrEqual(150.01)
  })

  test('the scale gets darker all the way up, in metres and in feet', () => {
    const luminance = (word: number) =>
      0.2126 * (word & 255) + 0.7152 * ((word >> 8) & 255) + 0.0722 * ((word >> 16) & 255)
    for (const unit of [1, 0.3048]) {
      const scale = new HeightScale(unit)
      const shades = [0, 20, 45, 90, 180, 350, 700, 1500].map((h) => luminance(scale.wordOf(h)))
      expect(shades).toEqual([...shades].sort((a, b) => b - a))
      expect(scale.wordOf(-5)).toBe(scale.wordOf(0))
    }
    expect(new HeightScale(1).isolinesM).toEqual([30, 60, 120, 250, 500])
  })
})
