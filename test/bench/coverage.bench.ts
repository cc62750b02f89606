import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { RadialSweep } from '../../core/coverage/radialSweep'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import { wavelengthM } from '../../core/propagation/freeSpace'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { TerrainGrid } from '../../core/terrain/grid'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { UTM_58N } from '../support/madeTerrain'
import { DEMO_TERRAIN, isInstalled, temporaryFolder } from '../support/places'
import { bestInTurns, bestOf, report } from './measure'

const SIDE = 3601
const RUNS = 9

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

export async function coverageBench(): Promise<void> {
  const terrain = await largeTerrain()
  const [col, row] = [1810, 1795]
  const sightM = new Float32Array(terrain.heights.length).fill(NaN)
  const fresnelM = sightM.slice()
  const sweepAll = () => {
    const sweep = new RadialSweep(
      terrain,
      {
        col,
        row,
        antennaAmslM: terrain.heights[row * SIDE + col] + 2,
        groundCellM: 30,
        kFactor: STANDARD_K_FACTOR,
        wavelengthM: wavelengthM(5800),
        fresnelFraction: USUAL_FRESNEL_FRACTION,
        radiusCells: Infinity,
      },
      sightM,
      fresnelM,
    )
    sweep.run(0, sweep.rayCount)
  }
  // The engine compiles the sweep while it first runs.
  bestOf(3, sweepAll)
  const what = `both fields, ${SIDE} x ${SIDE} cells, one thread`

  if (!isInstalled('gdal_viewshed')) {
    report(what, bestOf(RUNS, sweepAll))
    console.log('gdal_viewshed is not installed: no ratio')
    return
  }
  const folder = temporaryFolder()
  const [dem, view] = [join(folder, 'dem.tif'), join(folder, 'view.tif')]
  const packed = join(folder, 'packed.tif')
  writeFileSync(packed, writeGeoTiff(terrain.heights, terrain))
  execFileSync('gdal_translate', ['-q', packed, dem])
  const east = String(terrain.westM + (col + 0.5) * 30)
  const north = String(terrain.northM - (row + 0.5) * 30)
  const options = [
    '-q',
    '-md',
    '0',
    '-cc',
    '0.75',
    '-oz',
    '2',
    '-tz',
    '60',
    '-ox',
    east,
    '-oy',
    north,
  ]
  const viewshed = () => execFileSync('gdal_viewshed', [...options, dem, view])
  const [ours, theirs] = bestInTurns(RUNS, sweepAll, viewshed)
  report(what, ours, { what: 'gdal_viewshed, sight only', ms: theirs })
}
