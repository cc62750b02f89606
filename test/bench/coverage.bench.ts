import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { join } from 'node:path'
import { RadialSweep, type SweepSettings } from '../../core/coverage/radialSweep'
import { emptyFields } from '../../core/coverage/sweepThread'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import { wavelengthM } from '../../core/propagation/freeSpace'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { TerrainGrid } from '../../core/terrain/grid'
import { inSharedMemory, openNodePool } from '../../electron/node/sweepThreads'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { UTM_58N } from '../support/madeTerrain'
import { DEMO_TERRAIN, isInstalled, temporaryFolder } from '../support/places'
import { bestOf, report } from './measure'

const SIDE = 3601
const RUNS = 12

/** The island of the demo, mirrored again and again, as large as a one-degree tile. */
async function largeTerrain(): Promise<TerrainGrid> {
  const demo = await readTerrainFile(DEMO_TERRAIN)
  const [first, last] = [150, 850]
  const period = 2 * (last - first)
  const mirror = (i: number) => first + Math.abs(((i + last - first) % period) - (last - first))
  const heights = new Float32Array(SIDE * SIDE)
  for (let row = 0, i = 0; row < SIDE; row++) {
    const source = mirror(row) * demo.cols
    for (let col = 0; col < SIDE; col++, i++) heights[i] = demo.heights[source + mirror(col)]
  }
  const size = { cols: SIDE, rows: SIDE, cellM: 30, westM: 500_000, northM: 4_600_000 }
  return { ...size, crs: UTM_58N, heights, name: 'large', origin: 'mirrored demo' }
}

/** Settings of the sweep that is measured, from the middle of the large terrain. */
function settingsOn(terrain: TerrainGrid, col: number, row: number): SweepSettings {
  return {
    col,
    row,
    antennaAmslM: terrain.heights[row * SIDE + col] + 2,
    groundCellM: 30,
    kFactor: STANDARD_K_FACTOR,
    wavelengthM: wavelengthM(5800),
    fresnelFraction: USUAL_FRESNEL_FRACTION,
    radiusCells: Infinity,
    sector: null,
  }
}

/** Both fields on one thread and on all cores, against a whole run of GDAL's viewshed program. */
export async function coverageBench(): Promise<void> {
  const terrain = await largeTerrain()
  const [col, row] = [1810, 1795]
  const settings = settingsOn(terrain, col, row)
  const fields = emptyFields(terrain.heights.length)
  const onOneThread = () => {
    const sweep = new RadialSweep(terrain, settings, fields.sightM, fields.fresnelM)
    sweep.run(0, sweep.rayCount)
  }
  const one = await bestOf(RUNS, onOneThread)
  const { pool, close } = openNodePool()
  await pool.setGround({ ...terrain, heights: inSharedMemory(terrain.heights) })
  const onAllCores = () => pool.sweep(settings, {})
  const viewshed = isInstalled('gdal_viewshed') ? prepareViewshed(terrain, col, row) : null
  const all = await bestOf(RUNS, onAllCores)
  const theirs = viewshed ? await bestOf(RUNS, viewshed) : NaN
  await close()

  const reference = viewshed && { what: 'gdal_viewshed, sight only', ms: theirs }
  if (!reference) console.log('gdal_viewshed is not installed: no ratios')
  const cells = SIDE * SIDE
  const pace = (ms: number) => `${(cells / ms / 1000).toFixed(1)} million cells a second`
  const what = `both fields, ${SIDE} x ${SIDE} cells`
  report(`${what}, one thread (${pace(one)})`, one, reference)
  report(`${what}, ${availableParallelism()} cores (${pace(all)})`, all, reference)
}

/** A run of gdal_viewshed on the same ground from the same cell, as a whole process. */
function prepareViewshed(terrain: TerrainGrid, col: number, row: number): () => void {
  const folder = temporaryFolder()
  const [packed, dem, view] = ['packed', 'dem', 'view'].map((name) => join(folder, `${name}.tif`))
  writeFileSync(packed, writeGeoTiff(terrain.heights, terrain))
  execFileSync('gdal_translate', ['-q', packed, dem])
  const east = String(terrain.westM + (col + 0.5) * terrain.cellM)
  const north = String(terrain.northM - (row + 0.5) * terrain.cellM)
  const options = ['-q', '-md', '0', '-cc', '0.75', '-oz', '2', '-tz', '60']
  return () => execFileSync('gdal_viewshed', [...options, '-ox', east, '-oy', north, dem, view])
}
