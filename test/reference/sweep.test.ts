import { describe, expect, test } from 'vitest'
import { computeClearHeights } from '../../core/coverage/clearHeights'
import { RadialSweep, type ClearFields } from '../../core/coverage/radialSweep'
import { ClearCounts } from '../../core/coverage/shares'
import { SweepPool } from '../../core/coverage/sweepPool'
import { emptyFields, SweepThread } from '../../core/coverage/sweepThread'
import { EARTH_RADIUS_M, STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { geodesic, normalizeLonDeg } from '../../core/geodesy/geodesic'
import { pathProfile } from '../../core/propagation/path'
import { coarsenSweep } from '../../core/coverage/coarsenSweep'
import { coarsen } from '../../core/terrain/coarsen'
import { GridLocator, groundAt, type TerrainGrid } from '../../core/terrain/grid'
import { inSharedMemory, openNodePool } from '../../electron/node/sweepThreads'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { exactClearHeights, seededRandom } from '../support/exactReference'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'
import { DEMO_TERRAIN } from '../support/places'
import { groundOf, sweepAll } from '../support/sweepAll'

describe('made terrain with known answers', () => {
  const clearHeightAt = (
    terrain: TerrainGrid,
    fields: { sightM: Float32Array },
    eastM: number,
    northM: number,
  ) => {
    const half = (terrain.cols - 1) / 2
    const col = half + eastM / terrain.cellM
    const row = half - northM / terrain.cellM
    return Math.max(0, fields.sightM[Math.round(row) * terrain.cols + Math.round(col)])
  }
  const middle = (terrain: TerrainGrid) => ({
    col: (terrain.cols - 1) / 2,
    row: (terrain.rows - 1) / 2,
  })

  test('a flat Earth: beyond the horizon the clear height grows as the ground falls away', () => {
    const terrain = madeTerrain(901, 100, () => 0)
    const fields = sweepAll(terrain, middle(terrain), 10)
    const scale = 1 / 0.9996
    const d = 40_000 * scale
    const horizon = Math.sqrt(2 * STANDARD_K_FACTOR * EARTH_RADIUS_M * 10)
    const expected = (d - horizon) ** 2 / (2 * STANDARD_K_FACTOR * EARTH_RADIUS_M)
    for (const [east, north] of [
      [40_000, 0],
      [0, -40_000],
    ]) {
      expect(clearHeightAt(terrain, fields, east, north)).toBeCloseTo(expected, 0)
    }
    expect(clearHeightAt(terrain, fields, 10_000, 0)).toBe(0)
  })

  test('one knife edge: the shadow line goes up with distance', () => {
    const terrain = madeTerrain(401, 25, (east) => (Math.abs(east - 1000) < 1 ? 52 : 0))
    const fields = sweepAll(terrain, middle(terrain), 2)
    // Similar triangles: 50 m over the antenna at 1 km is 200 m at 4 km, 202 above ground.
    const bulge = (d: number) => (d * d) / (2 * STANDARD_K_FACTOR * EARTH_RADIUS_M)
    const expected = 2 + 4 * (50 - bulge(1000)) + bulge(4000)
    expect(clearHeightAt(terrain, fields, 4000, 0)).toBeCloseTo(expected, 0)
    expect(clearHeightAt(terrain, fields, -4000, 0)).toBeLessThan(1)
  })

  test('from the top of a cone everything is in sight; from its foot the far side is not', () => {
    const terrain = madeTerrain(301, 20, (east, north) => 1500 - 0.4 * Math.hypot(east, north))
    const top = sweepAll(terrain, middle(terrain), 2)
    expect(Math.max(...top.sightM)).toBeLessThan(1)
    const foot = sweepAll(terrain, { col: 10, row: 150 }, 2)
    expect(clearHeightAt(terrain, foot, -1500, 0)).toBeLessThan(1)
    // Straight over the top: as high above the far side as the near slope is carried on.
    expect(clearHeightAt(terrain, foot, 2000, 0)).toBeGreaterThan(1500)
  })

  test('a plane slope, up and down, hides nothing from an antenna above it', () => {
    const terrain = madeTerrain(301, 20, (east, north) => 900 + 0.35 * east - 0.2 * north)
    const fields = sweepAll(terrain, { col: 60, row: 220 }, 3)
    fields.sightM.forEach((height, i) => {
      const [col, row] = [i % 301, Math.floor(i / 301)]
      // The outermost cells lean on a ray just outside the grid, where the ground ends.
      const isBorder = col === 0 || row === 0 || col === 300 || row === 300
      expect(height).toBeLessThan(isBorder ? 3 : 0.5)
    })
  })

  test('a step: on top only what is near its lip is hidden from below', () => {
    const terrain = madeTerrain(401, 25, (east) => (east > 500 ? 100 : 0))
    const fields = sweepAll(terrain, middle(terrain), 10)
    // The lip is the first post on top, 525 m east, 90 m above the antenna.
    const expected = (eastM: number) => 10 + (90 * eastM) / 525 - 100
    expect(clearHeightAt(terrain, fields, 2000, 0)).toBeCloseTo(expected(2000), 0)
    expect(clearHeightAt(terrain, fields, 475, 0)).toBe(0)
  })

  test('Fresnel clearance over flat ground needs 0.6 F1 at the tightest place', () => {
    const terrain = madeTerrain(401, 25, () => 0)
    const { settings, sightM, fresnelM } = sweepAll(terrain, middle(terrain), 2)
    const { sightM: exactSight, fresnelM: exactFresnel } = exactClearHeights(
      groundOf(terrain),
      settings,
      400,
      200,
    )
    const i = 200 * 401 + 400
    expect(sightM[i]).toBeCloseTo(exactSight, 2)
    expect(fresnelM[i]).toBeCloseTo(exactFresnel, 1)
    expect(fresnelM[i]).toBeGreaterThan(5)
  })
})

describe('the sweep as a piece of work', () => {
  const terrain = madeTerrain(
    151,
    30,
    (east, north) => 400 + 90 * Math.sin(east / 170) * Math.cos(north / 230),
  )

  test('gives the same bits however its rays are split', () => {
    const whole = sweepAll(terrain, { col: 60.25, row: 81.5 })
    const fields = emptyFields(terrain.heights.length)
    const parts = new RadialSweep(groundOf(terrain), whole.settings, fields)
    const cuts = [0, 7, 8, 51, 200, parts.rayCount].filter((cut) => cut <= parts.rayCount)
    for (let i = cuts.length - 1; i > 0; i--) parts.run(cuts[i - 1], cuts[i])
    expect(fields.sightM).toEqual(whole.sightM)
    expect(fields.fresnelM).toEqual(whole.fresnelM)
    expect(fields.edge).toEqual(whole.edge)
  })

  test('gives the same bits on one thread and on many, in shared memory and in copies', async () => {
    const whole = sweepAll(terrain, { col: 60.25, row: 81.5 })
    const { pool, close } = openNodePool(3)
    await pool.setGround(groundOf({ ...terrain, heights: inSharedMemory(terrain.heights) }))
    const shared = await pool.sweep(whole.settings, {})
    await close()
    const copied = new SweepPool([new SweepThread(), new SweepThread()], false)
    await copied.setGround(groundOf(terrain))
    for (const fields of [shared, await copied.sweep(whole.settings, {})]) {
      expect(new Float32Array(fields.sightM)).toEqual(whole.sightM)
      expect(new Float32Array(fields.fresnelM)).toEqual(whole.fresnelM)
      expect(new Uint8Array(fields.edge)).toEqual(whole.edge)
    }
    expect(shared.sightM.buffer).toBeInstanceOf(SharedArrayBuffer)
  })

  test('without radius and sector every cell is written, wherever the launch point', () => {
    const random = seededRandom(12)
    for (let k = 0; k < 150; k++) {
      const [cols, rows] = [2 + Math.floor(random() * 60), 2 + Math.floor(random() * 60)]
      const ground = { ...terrain, cols, rows, heights: new Float32Array(cols * rows).fill(5) }
      // Also on the border and right between cells.
      const at = (count: number) =>
        [0, count - 1, random() * (count - 1), Math.floor(random() * (count - 1)) + 0.5][
          Math.floor(random() * 4)
        ]
      const { settings } = sweepAll(terrain, { col: 60.25, row: 81.5 })
      const fields = emptyFields(cols * rows)
      const here = { ...settings, col: at(cols), row: at(rows) }
      const sweep = new RadialSweep(groundOf(ground), here, fields)
      sweep.run(0, sweep.rayCount)
      expect(fields.sightM.some(Number.isNaN), `${cols} x ${rows} ${here.col} ${here.row}`).toBe(
        false,
      )
    }
  })

  test('fields given back are written over, and cleared where the next sweep leaves cells out', async () => {
    const whole = sweepAll(terrain, { col: 60.25, row: 81.5 })
    const { pool, close } = openNodePool(2)
    await pool.setGround(groundOf({ ...terrain, heights: inSharedMemory(terrain.heights) }))
    const first = await pool.sweep({ ...whole.settings, col: 20 }, {})
    pool.recycle(first)
    const second = await pool.sweep(whole.settings, {})
    expect(second.sightM.buffer).toBe(first.sightM.buffer)
    expect(new Float32Array(second.sightM)).toEqual(whole.sightM)
    pool.recycle(second)
    const near = await pool.sweep({ ...whole.settings, radiusCells: 10 }, {})
    await close()
    expect(near.sightM.filter((height) => !Number.isNaN(height)).length).toBeLessThan(330)
  })

  test('a second sweep at the same time is refused, and the first one is none the worse', async () => {
    const whole = sweepAll(terrain, { col: 60.25, row: 81.5 })
    const pool = SweepPool.local()
    await pool.setGround(groundOf(terrain))
    const first = pool.sweep(whole.settings, {})
    await expect(pool.sweep(whole.settings, {})).rejects.toThrow(/before another had ended/)
    expect((await first).sightM).toEqual(whole.sightM)
    expect((await pool.sweep(whole.settings, {})).sightM).toEqual(whole.sightM)
  })

  test('on a coarser grid sees the same land, roughly', async () => {
    const demo = await readTerrainFile(DEMO_TERRAIN)
    const fine = sweepAll(demo, { col: 560, row: 466 })
    const coarseGround = coarsen(demo, 2)
    const pool = SweepPool.local()
    await pool.setGround(groundOf(coarseGround))
    const coarse = await pool.sweep(coarsenSweep(fine.settings, 2), {})
    const share = (fields: ClearFields) => 1 - ClearCounts.of(fields, 0).at(60).blocked
    expect(share(coarse)).toBeGreaterThan(share(fine) * 0.7)
    expect(share(coarse)).toBeLessThan(share(fine) * 1.4)
    const [a, b] = [new GridLocator(demo), new GridLocator(coarseGround)]
    const place = a.toLatLon({ col: 300, row: 200 })
    expect(groundAt(coarseGround, b.toGrid(place))).toBeCloseTo(
      (demo.heights[200 * 1000 + 300] + demo.heights[200 * 1000 + 301]) / 2,
      -2,
    )
  })

  test('keeps to a radius', async () => {
    const launch = placeOn(terrain, 100, -200)
    const near = await computeClearHeights(terrain, {
      launch,
      antennaHeightM: 2,
      radio: VIDEO_LINK,
      radiusM: 1000,
      sector: null,
      clearingM: 0,
    })
    let [inside, wrong] = [0, 0]
    near.sightM.forEach((value, i) => {
      const east = ((i % 151) - 75) * 30 - 100
      const north = (75 - Math.floor(i / 151)) * 30 + 200
      const isInside = Math.hypot(east, north) / 0.9996 <= 1000
      if (isInside) inside++
      if (Number.isNaN(value) === isInside) wrong++
    })
    expect(inside).toBeGreaterThan(3000)
    expect(wrong).toBeLessThan(8)
  })

  test.each([
    [0, 90],
    [200, 35],
    [300, 270],
    [77, 360],
  ])('keeps to a sector, azimuth %d, width %d', async (azimuthDeg, widthDeg) => {
    const launch = placeOn(terrain, 300, -150)
    const settings = { launch, antennaHeightM: 2, radio: VIDEO_LINK, radiusM: null, clearingM: 0 }
    const whole = await computeClearHeights(terrain, { ...settings, sector: null })
    const part = await computeClearHeights(terrain, {
      ...settings,
      sector: { azimuthDeg, widthDeg },
    })
    const locator = new GridLocator(terrain)
    let wrong = 0
    part.sightM.forEach((height, i) => {
      const cell = locator.toLatLon({ col: i % 151, row: Math.floor(i / 151) })
      const { bearingDeg, distanceM } = geodesic(launch, cell)
      const away = Math.abs(normalizeLonDeg(bearingDeg - azimuthDeg)) - widthDeg / 2
      // Close to the launch point or to the edge either answer is right.
      if (distanceM < 60 || Math.abs(away) < 0.05) return
      if (away < 0 ? height !== whole.sightM[i] : !Number.isNaN(height)) wrong++
    })
    expect(wrong).toBe(0)
  })

  test('counts in true ground metres where the map stretches them', async () => {
    // Web Mercator at 60 degrees north: a map metre is half a metre on the ground.
    const stretched: TerrainGrid = {
      ...madeTerrain(201, 60, (east) => (Math.abs(east - 1200) < 100 ? 60 : 0)),
      westM: 1_000_000,
      northM: 8_400_000,
      crs: {
        name: 'WGS 84 / Pseudo-Mercator',
        epsg: 3857,
        definition:
          '+proj=merc +a=6378137 +b=6378137 +lat_ts=0 +lon_0=0 +x_0=0 +y_0=0 +k=1 +units=m +nadgrids=@null +no_defs',
      },
    }
    const locator = new GridLocator(stretched)
    const launch = locator.toLatLon({ col: 100, row: 100 })
    const settings = {
      launch,
      antennaHeightM: 2,
      radio: VIDEO_LINK,
      radiusM: 2000,
      sector: null,
      clearingM: 0,
    }
    const fields = await computeClearHeights(stretched, settings)
    let farthest = 0
    fields.sightM.forEach((height, i) => {
      if (Number.isNaN(height)) return
      const cell = locator.toLatLon({ col: i % 201, row: Math.floor(i / 201) })
      farthest = Math.max(farthest, geodesic(launch, cell).distanceM)
    })
    expect(farthest).toBeGreaterThan(1940)
    expect(farthest).toBeLessThan(2020)
    const target = { ...locator.toLatLon({ col: 160, row: 100 }), label: 'target' }
    const needed = fields.fresnelM[100 * 201 + 160]
    const at = (heightM: number) =>
      pathProfile(
        stretched,
        { ...launch, label: 'launch point', heightM: 2 },
        { ...target, heightM },
        VIDEO_LINK,
      ).fresnelClear
    expect(at(needed + 0.3)).toBe(true)
    expect(at(needed - 0.3)).toBe(false)
  })

  test('has no answer behind missing data, where a summit may stand', () => {
    const gap = madeTerrain(201, 30, (east) => (east > 900 && east < 1000 ? NaN : 0))
    const { sightM, fresnelM } = sweepAll(gap, { col: 100, row: 100 })
    expect(sightM[100 * 201 + 128]).not.toBeNaN()
    expect(sightM[100 * 201 + 180]).toBeNaN()
    expect(fresnelM[60 * 201 + 170]).toBeNaN()
    expect(sightM[100 * 201 + 20]).not.toBeNaN()
  })

  test('reports progress and stops when cancelled', async () => {
    const large = madeTerrain(1500, 30, () => 0)
    const running = new AbortController()
    const settings = {
      launch: placeOn(large, 0, 0),
      antennaHeightM: 2,
      radio: VIDEO_LINK,
      radiusM: null,
      sector: null,
      clearingM: 0,
    }
    const shares: number[] = []
    const work = computeClearHeights(large, settings, {
      signal: running.signal,
      onProgress: (share) => {
        shares.push(share)
        if (share > 0.1) running.abort()
      },
    })
    await expect(work).rejects.toThrow('Cancelled')
    expect(shares.at(-1)).toBeLessThan(0.2)
    expect(shares).toEqual([...shares].sort((one, other) => one - other))
  })

  test('threads that share memory tell how far they are, and stop when cancelled', async () => {
    const large = madeTerrain(4000, 30, () => 0)
    const { pool, close } = openNodePool(2)
    await pool.setGround(groundOf({ ...large, heights: inSharedMemory(large.heights) }))
    const { settings } = sweepAll(
      madeTerrain(20, 30, () => 0),
      { col: 9, row: 9 },
    )
    const running = new AbortController()
    const shares: number[] = []
    const onProgress = (share: number) => {
      shares.push(share)
      running.abort()
    }
    const work = pool.sweep(
      { ...settings, col: 2000, row: 2000 },
      { signal: running.signal, onProgress },
    )
    await expect(work).rejects.toThrow('Cancelled')
    // Not cast to the end: that takes many times as long.
    expect(shares.length).toBe(1)
    expect(shares[0]).toBeLessThan(1)
    const whole: number[] = []
    await pool.sweep(settings, { onProgress: (share) => whole.push(share) })
    await close()
    expect(whole.at(-1)).toBe(1)
  })

  test.each([
    [{ antennaHeightM: -1 }, /height of the launch point is -1 m/],
    [{ antennaHeightM: NaN }, /height of the launch point is NaN m/],
    [{ radiusM: 0 }, /radius is 0 km/],
    [{ sector: { azimuthDeg: 10, widthDeg: 0 } }, /sector is 0 degrees wide/],
    [{ sector: { azimuthDeg: NaN, widthDeg: 9 } }, /azimuth of the sector is NaN/],
    [{ launch: { latDeg: 1, lonDeg: 1 } }, /off the terrain/],
  ])('refuses %o with a sentence', async (part, sentence) => {
    const good = {
      launch: placeOn(terrain, 0, 0),
      antennaHeightM: 2,
      radio: VIDEO_LINK,
      radiusM: null,
      sector: null,
      clearingM: 0,
    }
    await expect(computeClearHeights(terrain, { ...good, ...part })).rejects.toThrow(sentence)
  })
})

describe('properties', () => {
  const random = seededRandom(21)
  const bumps = Array.from({ length: 40 }, () => ({
    east: (random() - 0.5) * 3000,
    north: (random() - 0.5) * 3000,
    height: random() * 300,
    width: 80 + random() * 300,
  }))
  const terrain = madeTerrain(121, 25, (east, north) =>
    bumps.reduce(
      (sum, bump) =>
        sum +
        bump.height *
          Math.exp(
            -(((east - bump.east) / bump.width) ** 2 + ((north - bump.north) / bump.width) ** 2),
          ),
      0,
    ),
  )
  const position = { col: 47.3, row: 66.6 }
  const base = sweepAll(terrain, position)

  test('sight is never above Fresnel', () => {
    expect(base.sightM.every((sight, i) => sight <= base.fresnelM[i])).toBe(true)
  })

  test('a larger Fresnel fraction never lowers a clear height', () => {
    const wide = sweepAll(terrain, position, 2, { ...VIDEO_LINK, fresnelFraction: 1 })
    expect(wide.fresnelM.every((height, i) => height >= base.fresnelM[i] - 1e-3)).toBe(true)
    const none = sweepAll(terrain, position, 2, { ...VIDEO_LINK, fresnelFraction: 0 })
    expect(none.fresnelM.every((height, i) => Math.abs(height - none.sightM[i]) < 1e-2)).toBe(true)
  })

  test('swapping the two ends of a path keeps its line of sight', () => {
    const locator = new GridLocator(terrain)
    let swapped = 0
    for (let k = 0; k < 200; k++) {
      const ends = [0, 1].map(() => ({
        ...locator.toLatLon({ col: random() * 120, row: random() * 120 }),
        label: 'end',
        heightM: 5 + random() * 60,
      }))
      const there = pathProfile(terrain, ends[0], ends[1], VIDEO_LINK)
      const back = pathProfile(terrain, ends[1], ends[0], VIDEO_LINK)
      // Each leaves its own far half cell aside and counts its quarters from the other end, so
      // that paths within centimetres of touching ground may differ.
      const isClose = Math.abs(there.worstClearance?.value ?? 0) < 0.3
      if (there.inSight !== back.inSight && !isClose) swapped++
    }
    expect(swapped).toBeLessThanOrEqual(2)
  })

  test('raising the antenna never raises a clear height', () => {
    const raised = sweepAll(terrain, position, 12)
    expect(raised.sightM.every((sight, i) => sight <= base.sightM[i] + 1e-3)).toBe(true)
    expect(raised.fresnelM.every((height, i) => height <= base.fresnelM[i] + 1e-3)).toBe(true)
  })

  test('raising a cell of ground never lowers the clear height above sea level elsewhere', () => {
    for (let k = 0; k < 12; k++) {
      const cell = Math.floor(random() * terrain.heights.length)
      const col = cell % 121
      if (Math.hypot(col - position.col, Math.floor(cell / 121) - position.row) < 2) continue
      const heights = terrain.heights.slice()
      heights[cell] += 60
      const raised = sweepAll({ ...terrain, heights }, position)
      expect(raised.sightM.every((sight, i) => i === cell || sight >= base.sightM[i] - 1e-3)).toBe(
        true,
      )
    }
  })
})
