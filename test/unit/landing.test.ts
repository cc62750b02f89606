import { describe, expect, test } from 'vitest'
import { avalancheGround } from '../../core/landing/avalanche'
import { findAreas, USUAL_LANDING, type LandingLimits } from '../../core/landing/areas'
import { levelGround } from '../../core/landing/flatGround'
import { pictureShares, soonestOnFoot } from '../../core/landing/landing'
import { findBasins, readValleys } from '../../core/landing/basins'
import { groundShape } from '../../core/landing/slope'
import {
  checkStart,
  measureWay,
  toblerMs,
  unwalkable,
  USUAL_WALK,
  walkFrom,
  wayTo,
} from '../../core/landing/walk'
import type { TerrainGrid } from '../../core/terrain/grid'
import { seededRandom } from '../support/exactReference'
import { madeTerrain } from '../support/madeTerrain'
import { groundOf, sweepAll } from '../support/sweepAll'

const shapeOf = ({ heights, cols, rows, cellM }: TerrainGrid) =>
  groundShape(heights, cols, rows, cellM)

function search(terrain: TerrainGrid, limits: LandingLimits = USUAL_LANDING) {
  const { heights, cols, cellM } = terrain
  const level = levelGround(heights, cols, cellM)
  return findAreas(groundOf(terrain), shapeOf(terrain), level, null, cellM, limits)
}

/** A rough slope of 25 degrees with gentle shelves where a function says so. */
const slopeWith = (cells: number, cellM: number, isShelf: (e: number, n: number) => boolean) =>
  madeTerrain(cells, cellM, (e, n) => {
    const shelfHeight = 300 + 0.02 * e + 0.01 * n
    return isShelf(e, n) ? shelfHeight : 300 + 0.47 * e + 3 * Math.sin(e * 1.7 + n * 2.3)
  })

describe('slope and roughness', () => {
  test('of a plane: its slope, and no roughness', () => {
    const plane = madeTerrain(21, 10, (e, n) => 0.3 * e - 0.4 * n)
    const { slopeDeg, roughnessM } = shapeOf(plane)
    const middle = 10 * 21 + 10
    expect(slopeDeg[middle]).toBeCloseTo((Math.atan(0.5) * 180) / Math.PI, 4)
    expect(roughnessM[middle]).toBeLessThan(1e-4)
  })

  test('roughness by hand: one block of 9 m is 8/9 of its height off the plane', () => {
    // Mean 1, no tilt: squares 8^2 + 8 * 1^2 = 72, over 9 cells: root 8 = 2.828 m.
    const block = madeTerrain(5, 10, (e, n) => (e === 0 && n === 0 ? 9 : 0))
    expect(shapeOf(block).roughnessM[12]).toBeCloseTo(Math.sqrt(8), 5)
  })

  test('beside missing data there is none', () => {
    const torn = madeTerrain(7, 10, (e, n) => (e === 0 && n === 0 ? NaN : 5))
    const { slopeDeg } = shapeOf(torn)
    expect(slopeDeg[24]).toBeNaN()
    expect(slopeDeg[23]).toBeNaN()
    expect(slopeDeg[0]).toBe(0)
    // The rim of a slope is as steep as the rest of it.
    const slope = shapeOf(madeTerrain(9, 10, (e) => e / 4)).slopeDeg
    expect(slope[0]).toBeCloseTo(slope[40], 4)
  })
})

describe('level ground', () => {
  test('a lake is level, the meadow beside it is not', () => {
    const lake = madeTerrain(41, 10, (e, n) =>
      e * e + n * n < 80 ** 2 ? 200 : 200 + Math.abs(e) / 40 + n / 90 + 1,
    )
    const level = levelGround(lake.heights, 41, 10)
    expect(level[20 * 41 + 20]).toBe(1)
    expect(level[2 * 41 + 2]).toBe(0)
    const count = level.reduce((sum, cell) => sum + cell, 0)
    expect(count).toBeGreaterThan(180)
    expect(count).toBeLessThan(230)
  })

  test('in whole metres small level patches are chance', () => {
    const steps = madeTerrain(60, 30, (e) => Math.floor(e / 90))
    expect(levelGround(steps.heights, 60, 30).includes(1)).toBe(true)
    const small = madeTerrain(60, 10, (e, n) => Math.floor(e / 30) + 7 * Math.floor(n / 30))
    expect(levelGround(small.heights, 60, 10).includes(1)).toBe(false)
  })
})

describe('areas', () => {
  const round = (x: number, y: number, r: number) => (e: number, n: number) =>
    (e - x) ** 2 + (n - y) ** 2 < r * r
  const limits = { ...USUAL_LANDING, fromEdgesM: 0 }

  test('the known flats of a made terrain, and nothing else', () => {
    const [a, b] = [round(-300, 200, 80), round(400, -250, 60)]
    const terrain = slopeWith(201, 10, (e, n) => a(e, n) || b(e, n))
    const { areas } = search(terrain, limits)
    expect(areas).toHaveLength(2)
    const [larger, smaller] = areas
    const place = (cell: number) => [((cell % 201) - 100) * 10, (100 - Math.floor(cell / 201)) * 10]
    expect(Math.hypot(place(larger.middle)[0] + 300, place(larger.middle)[1] - 200)).toBeLessThan(
      25,
    )
    expect(Math.hypot(place(smaller.middle)[0] - 400, place(smaller.middle)[1] + 250)).toBeLessThan(
      25,
    )
    // The border cells of a shelf lean on the slope around it.
    expect(larger.sizeM2).toBeGreaterThan(Math.PI * 60 ** 2)
    expect(larger.sizeM2).toBeLessThan(Math.PI * 80 ** 2)
    expect(larger.runM).toBeGreaterThan(110)
    expect(larger.runM).toBeLessThan(165)
    expect(larger.meanSlopeDeg).toBeCloseTo((Math.atan(Math.hypot(0.02, 0.01)) * 180) / Math.PI, 1)
  })

  test('a long strip tells its direction', () => {
    const along = (e: number, n: number) => Math.abs(e - n) < 40 && Math.abs(e + n) < 400
    const { areas } = search(slopeWith(201, 5, along), limits)
    expect(areas[0].runDeg).toBe(45)
    expect(areas[0].runM).toBeGreaterThan(380)
  })

  test('found at 30 m and at 10 m cells of the same ground they agree in place', () => {
    const shelf = round(150, 120, 150)
    const fine = search(slopeWith(301, 10, shelf), limits).areas[0]
    const coarse = search(slopeWith(101, 30, shelf), limits).areas[0]
    const at = (cell: number, side: number, cellM: number) => [
      ((cell % side) - (side - 1) / 2) * cellM,
      ((side - 1) / 2 - Math.floor(cell / side)) * cellM,
    ]
    const [a, b] = [at(fine.middle, 301, 10), at(coarse.middle, 101, 30)]
    expect(Math.hypot(a[0] - b[0], a[1] - b[1])).toBeLessThan(45)
  })

  test('keeps from obstacles and from the edge of a cliff, not from its foot', () => {
    const terrace = madeTerrain(101, 10, (e, n) => (e > 0 ? 200 : 50) + 0.01 * n + 0.012 * e)
    const wide = search(terrace, { ...USUAL_LANDING, fromEdgesM: 0 })
    const kept = search(terrace, { ...USUAL_LANDING, fromEdgesM: 60 })
    const size = ({ areas }: typeof wide, high: boolean) =>
      areas
        .filter(({ meanHeightM }) => meanHeightM > 120 === high)
        .reduce((sum, { sizeM2 }) => sum + sizeM2, 0)
    expect(size(kept, true)).toBeLessThan(size(wide, true) - 30_000)
    expect(size(kept, false)).toBe(size(wide, false))
  })

  test('excluded ground and obstacles are kept from', () => {
    const plain = madeTerrain(61, 10, (e, n) => 0.01 * e + 0.013 * n)
    const ground = groundOf(plain)
    const bare = ground.heights.slice()
    bare[30 * 61 + 30] += 20
    const excluded = new Uint8Array(61 * 61)
    excluded.fill(1, 0, 61 * 10)
    const level = new Uint8Array(61 * 61)
    const found = findAreas(
      { ...ground, bare, covered: bare },
      shapeOf(plain),
      level,
      excluded,
      10,
      USUAL_LANDING,
    )
    const cells = new Set(found.areas.flatMap((area) => [...area.cells]))
    expect(cells.has(5 * 61 + 5)).toBe(false)
    expect(cells.has(30 * 61 + 32)).toBe(false)
    expect(cells.has(30 * 61 + 36)).toBe(true)
    expect(found.excluded.excluded).toBe(610)
  })

  test('says which limit excludes most where nothing is left', () => {
    const slope = madeTerrain(41, 10, (e) => e)
    expect(() => search(slope)).toThrow(/most is excluded by the steepest slope allowed/)
    const lake = madeTerrain(41, 10, () => 12)
    expect(() => search(lake)).toThrow(/perfectly level, which may be water or ice/)
    const plain = madeTerrain(41, 10, (e, n) => 0.01 * e + 0.013 * n)
    expect(() => search(plain, { ...USUAL_LANDING, smallestM2: 1e6 })).toThrow(
      /nowhere 1000000 m² large/,
    )
  })
})

describe('picture to the ground', () => {
  test('an area behind a ridge has none at 2 m, one in front of it has', () => {
    const terrain = madeTerrain(201, 15, (e, n) => {
      const ridge = e > 500 && e < 600 ? 150 : 0
      return 100 + ridge + 0.012 * e + 0.01 * n
    })
    const { settings, ...fields } = sweepAll(terrain, { col: 100, row: 100 }, 3)
    expect(settings.col).toBeCloseTo(100, 6)
    const { areas } = search(terrain)
    const middleOf = (area: (typeof areas)[number]) => ((area.middle % 201) - 100) * 15
    const front = areas.find((area) => middleOf(area) < 400)
    const behind = areas.find((area) => middleOf(area) > 700)
    if (!front || !behind) throw new Error('both sides of the ridge should be found')
    expect(pictureShares(behind, fields, null)).toEqual({ sight: 0, fresnel: 0, margin: null })
    expect(pictureShares(front, fields, null).sight).toBeGreaterThan(0.95)
  })
})

describe('walking', () => {
  test("Tobler's function at published points", () => {
    // Source: Tobler 1993, as quoted everywhere: 6 km/h at -5 %, 5.04 km/h (5.037) on the flat.
    expect(toblerMs(-0.05) * 3.6).toBeCloseTo(6, 9)
    expect(toblerMs(0) * 3.6).toBeCloseTo(5.037, 3)
    expect(toblerMs(0.1)).toBeCloseTo(toblerMs(-0.2), 9)
  })

  const field = (terrain: TerrainGrid, start: number, settings = USUAL_WALK) =>
    walkFrom(terrain.heights, terrain.cols, terrain.rows, start, null, terrain.cellM, settings)

  test('on a plane as in closed form, within the error of its sixteen directions', () => {
    const gradient = 0.08
    const plane = madeTerrain(121, 20, (e) => 500 + gradient * e)
    const start = 60 * 121 + 60
    const { timeS } = field(plane, start)
    const random = seededRandom(5)
    let sum = 0
    let count = 0
    for (let k = 0; k < 300; k++) {
      const [x, y] = [Math.floor(random() * 121), Math.floor(random() * 121)]
      const length = Math.hypot(x - 60, y - 60)
      if (length < 5) continue
      const along = (gradient * (x - 60)) / length
      const exact = (length * 20) / (toblerMs(along) * USUAL_WALK.offPathFactor)
      const found = timeS[y * 121 + x]
      expect(found).toBeGreaterThan(exact * 0.995)
      expect(found).toBeLessThan(exact * 1.045)
      sum += found / exact
      count++
    }
    expect(sum / count).toBeLessThan(1.015)
  })

  test('up a cone as in closed form', () => {
    const cone = madeTerrain(121, 10, (e, n) => 1000 - 0.2 * Math.hypot(e, n))
    const top = 60 * 121 + 60
    const { timeS } = field(cone, 60 * 121)
    // Straight up its side: 600 m at a gradient of 0.2.
    expect(timeS[top]).toBeGreaterThan((600 / (toblerMs(0.2) * 0.6)) * 0.98)
    expect(timeS[top]).toBeLessThan((600 / (toblerMs(0.2) * 0.6)) * 1.02)
    const down = field(cone, top).timeS[60 * 121]
    expect(down / (600 / (toblerMs(-0.2) * 0.6))).toBeCloseTo(1, 1)
    expect(down).toBeLessThan(timeS[top])
  })

  test('equals a brute-force search on a small rough grid', () => {
    const random = seededRandom(11)
    const small = madeTerrain(17, 10, () => 40 * random())
    const start = 8 * 17 + 8
    const settings = { offPathFactor: 0.7, steepestDeg: 45 }
    const { timeS } = field(small, start, settings)
    const brute = bruteForce(small, start, settings)
    timeS.forEach((time, i) => {
      if (brute[i] === Infinity) expect(time).toBe(Infinity)
      else expect(Math.abs(time - brute[i])).toBeLessThan(brute[i] * 1e-4 + 0.01)
    })
    expect(timeS.some((time) => time === Infinity) || timeS.every(Number.isFinite)).toBe(true)
  })

  test('a cliff is walked around, a walled-in place not at all', () => {
    const cliff = madeTerrain(61, 10, (e, n) => (Math.abs(e) < 15 && n < 200 ? 200 : 0.001 * n))
    const [from, to] = [30 * 61 + 10, 30 * 61 + 50]
    const walked = field(cliff, from)
    const way = wayTo(walked, 61, to)
    if (!way) throw new Error('there is a way around')
    expect(way[0]).toBe(from)
    expect(way[way.length - 1]).toBe(to)
    expect(Math.min(...way.map((cell) => Math.floor(cell / 61)))).toBeLessThan(11)
    expect(measureWay(way, cliff.heights, 61, 10).lengthM).toBeGreaterThan(550)
    const tower = madeTerrain(41, 10, (e, n) => (Math.hypot(e, n) < 60 ? 300 : 0))
    const lost = field(tower, 0)
    expect(wayTo(lost, 41, 20 * 41 + 20)).toBeNull()
    const area = { cells: Uint32Array.of(20 * 41 + 20) } as never
    expect(soonestOnFoot(area, lost)).toBeNull()
  })

  test('water is not walked on, and nobody starts there', () => {
    const plain = madeTerrain(41, 10, () => 5)
    const level = new Uint8Array(41 * 41)
    for (let row = 0; row < 41; row++) level[row * 41 + 20] = 1
    const { timeS } = walkFrom(plain.heights, 41, 41, 0, level, 10, USUAL_WALK)
    expect(timeS[40]).toBe(Infinity)
    expect(timeS[19]).toBeLessThan(Infinity)
    expect(() => checkStart(20, 'road head', plain.heights, level)).toThrow(
      /The road head lies on perfectly level ground/,
    )
    expect(() => checkStart(-1, 'road head', plain.heights, level)).toThrow(/off the terrain/)
  })

  test('avalanche ground: slopes of 30 degrees, and what they can run out to', () => {
    // A slope of 36 degrees, 300 m high, above a flat.
    const slope = madeTerrain(241, 10, (e) => Math.min(300, Math.max(0, 0.73 * e)))
    const found = avalancheGround(slope.heights, shapeOf(slope).slopeDeg, 241, 241, 10)
    const at = (e: number, n = 0) => found[(120 - n / 10) * 241 + 120 + e / 10]
    expect(at(200)).toBe(1)
    // From the top edge at 410 m east, 300 m up, 20 degrees reach 824 m: to 414 m west.
    expect(at(-350)).toBe(1)
    expect(at(-520)).toBe(0)
    expect(at(900)).toBe(0)
    const gentle = madeTerrain(61, 10, (e) => 0.4 * e)
    expect(avalancheGround(gentle.heights, shapeOf(gentle).slopeDeg, 61, 61, 10).includes(1)).toBe(
      false,
    )
  })

  test('a steep wall is not traversed, however level the traverse', () => {
    const wall = madeTerrain(61, 10, (e) => (Math.abs(e) < 100 ? 2.1 * (e + 100) : e < 0 ? 0 : 420))
    const { heights, cols, rows, cellM } = wall
    const { slopeDeg } = shapeOf(wall)
    const out = unwalkable(new Uint8Array(heights.length), slopeDeg, USUAL_WALK)
    const { timeS } = walkFrom(heights, cols, rows, 30 * 61 + 30, out, cellM, USUAL_WALK)
    expect(timeS[10 * 61 + 30]).toBe(Infinity)
  })
})

/** Least times by relaxing every move until nothing changes: slow and obviously right. */
function bruteForce(
  { heights, cols, rows, cellM }: TerrainGrid,
  start: number,
  { offPathFactor, steepestDeg }: typeof USUAL_WALK,
): number[] {
  const time = Array.from(heights, () => Infinity)
  time[start] = 0
  const steepest = Math.tan((steepestDeg * Math.PI) / 180)
  const cost = (rise: number, run: number) =>
    Math.abs(rise / run) <= steepest ? run / (toblerMs(rise / run) * offPathFactor) : Infinity
  for (let changed = true; changed;) {
    changed = false
    for (let y = 0; y < rows; y++) {
      for (let x = 0; x < cols; x++) {
        const from = y * cols + x
        for (let dy = -2; dy <= 2; dy++) {
          for (let dx = -2; dx <= 2; dx++) {
            const [nx, ny] = [x + dx, y + dy]
            const sort = Math.abs(dx) * Math.abs(dy)
            const isNear = Math.max(Math.abs(dx), Math.abs(dy)) === 1
            if ((!isNear && sort !== 2) || nx < 0 || ny < 0 || nx >= cols || ny >= rows) continue
            const to = ny * cols + nx
            let seconds: number
            if (isNear) seconds = cost(heights[to] - heights[from], Math.hypot(dx, dy) * cellM)
            else {
              const isWide = Math.abs(dx) === 2
              const a = isWide ? from + dx / 2 : from + (dy / 2) * cols
              const b = isWide ? from + dx / 2 + dy * cols : from + (dy / 2) * cols + dx
              const half = (heights[a] + heights[b]) / 2
              const run = (Math.sqrt(5) / 2) * cellM
              seconds = cost(half - heights[from], run) + cost(heights[to] - half, run)
            }
            if (time[from] + seconds < time[to] - 1e-9) {
              time[to] = time[from] + seconds
              changed = true
            }
          }
        }
      }
    }
  }
  return time
}

describe('valleys', () => {
  // Two straight valleys side by side that fall southward, parted by a ridge.
  const twin = madeTerrain(
    121,
    20,
    (e, n) => 300 + 0.05 * n + 0.25 * Math.abs(Math.abs(e) - 600) + 0.0001 * e,
  )
  const dry = new Uint8Array(121 * 121)

  test('each side of a ridge drains through its own', () => {
    const { labels, count } = findBasins(twin.heights, 121, 121, dry, 1500)
    expect(count).toBe(2)
    const at = (e: number, n: number) => labels[(60 - n / 20) * 121 + 60 + e / 20]
    expect(at(-700, 300)).toBe(at(-300, -200))
    expect(at(700, 300)).toBe(at(300, -200))
    expect(at(-300, 0)).not.toBe(at(300, 0))
  })

  test('a stream that forks has a basin above each arm', () => {
    // A fork: two arms from the north that meet in the middle and leave southward.
    const fork = madeTerrain(161, 20, (e, n) => {
      const arm = Math.max(0, n) * 0.6
      return 500 + 0.06 * n + 0.3 * Math.abs(Math.abs(e) - arm)
    })
    const { labels, count } = findBasins(fork.heights, 161, 161, new Uint8Array(161 * 161), 2500)
    expect(count).toBeGreaterThanOrEqual(2)
    const at = (e: number, n: number) => labels[(80 - n / 20) * 161 + 80 + e / 20]
    expect(at(-720, 1200)).not.toBe(at(720, 1200))
    expect(at(-720, 1200)).toBeGreaterThan(0)
  })

  test('a hollow drains too, and the sea is no valley', () => {
    const hollow = madeTerrain(81, 20, (e, n) =>
      e < -600 ? 0 : 10 + 0.02 * (e + 600) + 0.01 * Math.abs(n) - (Math.hypot(e, n) < 200 ? 60 : 0),
    )
    const water = levelGround(hollow.heights, 81, 20)
    const { labels } = findBasins(hollow.heights, 81, 81, water, 800)
    expect(labels[40 * 81 + 2]).toBe(0)
    expect(labels[40 * 81 + 40]).toBeGreaterThan(0)
    expect(labels[40 * 81 + 40]).toBe(labels[40 * 81 + 30])
  })

  test('tell how much of them is in the picture', () => {
    const { settings, ...fields } = sweepAll(twin, { col: 30, row: 60 }, 3)
    expect(settings.col).toBeCloseTo(30, 6)
    const basins = findBasins(twin.heights, 121, 121, dry, 1500)
    const valleys = readValleys(
      basins,
      fields,
      121,
      30,
      search(twin, { ...USUAL_LANDING, steepestDeg: 20 }).areas,
    )
    const own = valleys.find(({ label }) => label === basins.labels[60 * 121 + 30])
    const other = valleys.find(({ label }) => label !== own?.label)
    expect(own?.inPicture).toBeGreaterThan(0.9)
    expect(other?.inPicture).toBeLessThan(0.5)
    expect(other?.toGround).toBeLessThan(0.3)
    expect((own?.areas ?? 0) + (other?.areas ?? 0)).toBeGreaterThan(0)
  })
})
