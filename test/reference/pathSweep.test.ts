import { describe, expect, test } from 'vitest'
import type { SweepGround, SweepSettings } from '../../core/coverage/fan'
import { directionOf, geometryOf, sweepForPaths } from '../../core/coverage/pathField'
import { PathSweep } from '../../core/coverage/pathSweep'
import { RadialSweep } from '../../core/coverage/radialSweep'
import { SweepPool } from '../../core/coverage/sweepPool'
import { emptyFields, SweepThread } from '../../core/coverage/sweepThread'
import { inSharedMemory, openNodePool } from '../../electron/node/sweepThreads'
import { seededRandom } from '../support/exactReference'
import { madeTerrain } from '../support/madeTerrain'
import { groundOf, sweepAll } from '../support/sweepAll'

describe('a sweep of path losses as a piece of work', () => {
  const terrain = madeTerrain(
    151,
    30,
    (east, north) => 400 + 90 * Math.sin(east / 170) * Math.cos(north / 230),
  )

  const pathTask = {
    frequencyMhz: 5800,
    polarisation: 'horizontal',
    heightM: 40,
    northRad: 0,
  } as const

  function pathsOn(ground: SweepGround, settings: SweepSettings): Float32Array {
    const cells = ground.heights.length
    const fields = emptyFields(cells)
    const radial = new RadialSweep(ground, settings, fields)
    radial.run(0, radial.rayCount)
    const lossDb = new Float32Array(cells).fill(NaN)
    const paths = { lossDb, directions: new Uint16Array(cells) }
    const sweep = new PathSweep(ground, [{ task: { ...pathTask, settings }, fields }], [paths])
    sweep.run(0, sweep.rayCount)
    // An answer wherever the fields have one.
    fields.sightM.forEach((sight, i) => {
      const where = `cell ${i} from (${settings.col}, ${settings.row})`
      if (Number.isNaN(sight) !== Number.isNaN(lossDb[i])) throw new Error(where)
    })
    return lossDb
  }

  test('every cell with clear heights has a path loss, in a radius too, and in a sector that of the whole', () => {
    const random = seededRandom(31)
    const between = (least: number, most: number) => least + random() * (most - least)
    const { settings } = sweepAll(terrain, { col: 60.25, row: 81.5 })
    for (let k = 0; k < 60; k++) {
      // From grids without any stage to such with several.
      const [cols, rows] = [Math.round(between(2, 260)), Math.round(between(2, 260))]
      const made = madeTerrain(Math.max(cols, rows), 30, (x, y) => 90 * Math.sin(x / 400 + y / 900))
      const ground = { ...groundOf(made), cols, rows }
      const heights = ground.heights.slice(0, cols * rows)
      // Bare, under trees, and with ground that is missing.
      const covered = k % 5 === 1 ? heights.map((height) => height + 12 * random()) : heights
      if (k % 5 === 2) heights.fill(NaN, heights.length / 3, heights.length / 3 + 4)
      Object.assign(ground, { heights, bare: heights, covered })
      const here = { ...settings, col: between(0, cols - 1), row: between(0, rows - 1) }
      if (k % 3 === 0) Object.assign(here, { col: Math.round(here.col), row: Math.round(here.row) })
      const whole = pathsOn(ground, here)
      expect(whole.some(Number.isNaN)).toBe(heights.some(Number.isNaN))
      pathsOn(ground, { ...here, radiusCells: between(1, 200) })
      const sector = { middleRad: between(-4, 4), halfWidthRad: between(0.02, 3) }
      const part = pathsOn(ground, { ...here, sector })
      // That of the launch point itself no ray need have written.
      const home = Math.round(here.row) * cols + Math.round(here.col)
      part.forEach((loss, i) => {
        if (!Number.isNaN(loss) && i !== home) expect(loss).toBe(whole[i])
      })
    }
  })

  test('memory of path losses given back is written over, and cleared where the next sweep leaves cells out', async () => {
    const { settings, ...fields } = sweepAll(terrain, { col: 60.25, row: 81.5 })
    const { pool, close } = openNodePool(2)
    await pool.setGround(groundOf({ ...terrain, heights: inSharedMemory(terrain.heights) }))
    const sweep = async (heightM: number, radiusCells = Infinity) => {
      const near = { ...settings, radiusCells }
      const its = radiusCells === Infinity ? fields : await pool.sweep(near, {})
      return (
        await pool.paths([{ task: { ...pathTask, heightM, settings: near }, fields: its }], {})
      )[0]
    }
    const first = await sweep(40)
    const low = new Float32Array((await sweep(15)).lossDb)
    pool.recyclePaths([first])
    const second = await sweep(15)
    expect(second.lossDb.buffer).toBe(first.lossDb.buffer)
    expect(new Float32Array(second.lossDb)).toEqual(low)
    pool.recyclePaths([second])
    const near = await sweep(15, 10)
    await close()
    expect(near.lossDb.buffer).toBe(first.lossDb.buffer)
    expect(near.lossDb.filter((loss) => !Number.isNaN(loss)).length).toBeLessThan(330)
  })

  test('paths want fields of their own frequency, and the zone free as far as it costs', () => {
    const { settings } = sweepAll(terrain, { col: 60.25, row: 81.5 })
    expect(sweepForPaths(settings, 5800)).toBe(settings)
    expect(sweepForPaths(settings, 868).wavelengthM).toBeCloseTo(0.345, 3)
    const careless = { ...settings, fresnelFraction: 0.1 }
    expect(sweepForPaths(careless, 5800).fresnelFraction).toBe(0.6)
  })

  test('path losses are the same on one thread and on many, in shared memory and in copies', async () => {
    const { settings, ...fields } = sweepAll(terrain, { col: 60.25, row: 81.5 })
    const task = { ...pathTask, settings, northRad: 0.01 }
    const { pool, close } = openNodePool(3)
    await pool.setGround(groundOf({ ...terrain, heights: inSharedMemory(terrain.heights) }))
    const links = [
      { task, fields },
      { task: { ...task, polarisation: 'vertical' }, fields },
    ] as const
    const [shared, vertical] = await pool.paths(links, {})
    await close()
    const results = []
    for (const threads of [[new SweepThread()], [new SweepThread(), new SweepThread()]]) {
      const copies = new SweepPool(threads, false)
      await copies.setGround(groundOf(terrain))
      const found = await copies.paths(links, {})
      expect(found[1].lossDb).toEqual(new Float32Array(vertical.lossDb))
      results.push(found[0], ...(await copies.paths([links[0]], {})))
    }
    const ground = groundOf(terrain)
    for (let cell = 0; cell < terrain.heights.length; cell += 37) {
      const { azimuthDeg, elevationDeg } = geometryOf(ground, task, cell)
      const apart = Math.abs(directionOf(azimuthDeg, elevationDeg) - shared.directions[cell])
      // Right between two steps either is right: one of elevation, or one of azimuth.
      expect([0, 1, 181, 180, 182, 359 * 181]).toContain(apart)
    }
    for (const { lossDb, directions } of results) {
      expect(lossDb).toEqual(new Float32Array(shared.lossDb))
      expect(directions).toEqual(new Uint16Array(shared.directions))
      expect(lossDb.some(Number.isNaN)).toBe(false)
    }
  })
})
