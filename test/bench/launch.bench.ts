import { LaunchHeat } from '../../core/launch/heat'
import { targetsOfCells } from '../../core/launch/targets'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { DEMO_TERRAIN, isInstalled } from '../support/places'
import { VIDEO_LINK } from '../support/madeTerrain'
import { groundOf } from '../support/sweepAll'
import { Viewshed } from '../support/viewshed'
import { bestOf, report } from './measure'

const TARGETS = 200
/** Ten kilometres of 30 m cells. */
const SIDE = 333
/** GDAL's program is run so often; its time grows with the number of runs. */
const VIEWSHED_RUNS = 10

/** Heat of a window by 200 targets in it, against as many runs of GDAL's viewshed program. */
export async function launchBench(): Promise<void> {
  const whole = await readTerrainFile(DEMO_TERRAIN)
  const terrain = cropped(whole, 400, 300)
  const ground = groundOf(terrain)
  const cells = [...terrain.heights.keys()]
  const targets = targetsOfCells(cells, terrain, 80, 1, TARGETS)
  const settings = {
    antennaHeightM: 2,
    kFactor: VIDEO_LINK.kFactor,
    fresnelFraction: 0.6,
    link: VIDEO_PRESETS[1],
    groundCellM: new GridLocator(terrain).groundCellM({ col: SIDE / 2, row: SIDE / 2 }),
  }
  const window = { west: 0, north: 0, east: SIDE - 1, south: SIDE - 1 }
  const heatMs = await bestOf(3, () => {
    const heat = new LaunchHeat(ground, window, settings)
    for (const target of targets) heat.add(target)
  })
  if (!isInstalled('gdal_viewshed')) {
    console.log(`heat by ${TARGETS} targets, one thread: ${heatMs.toFixed(0)} ms`)
    return
  }
  const viewshed = new Viewshed(terrain, SIDE >> 1, SIDE >> 1, 2)
  const one = await bestOf(VIEWSHED_RUNS, () => viewshed.run())
  report(`sight, Fresnel and margin by ${TARGETS} targets over 10 km x 10 km, one thread`, heatMs, {
    what: `${TARGETS} runs of gdal_viewshed (best of ${VIEWSHED_RUNS}, times ${TARGETS})`,
    ms: one * TARGETS,
  })
}

function cropped(terrain: TerrainGrid, col: number, row: number): TerrainGrid {
  const heights = new Float32Array(SIDE * SIDE)
  for (let y = 0; y < SIDE; y++) {
    const from = (row + y) * terrain.cols + col
    heights.set(terrain.heights.subarray(from, from + SIDE), y * SIDE)
  }
  return {
    ...terrain,
    heights,
    cols: SIDE,
    rows: SIDE,
    westM: terrain.westM + col * terrain.cellM,
    northM: terrain.northM - row * terrain.cellM,
  }
}
