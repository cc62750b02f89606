import type { SweepSettings } from '../../core/coverage/fan'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'
import { USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import { wavelengthM } from '../../core/propagation/freeSpace'
import type { TerrainGrid } from '../../core/terrain/grid'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { UTM_58N } from '../support/madeTerrain'
import { DEMO_TERRAIN } from '../support/places'

export const SIDE = 3601
/** The cell the launch point is in. */
export const LAUNCH = { col: 1810, row: 1795 }

/** The island of the demo, mirrored again and again, as large as a one-degree tile. */
export async function largeTerrain(): Promise<TerrainGrid> {
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
  return {
    ...size,
    crs: UTM_58N,
    heights,
    name: 'large',
    origin: { key: 'terrainSet.gridFileCellCell' },
  }
}

/** Settings of the sweep that is measured, from the middle of the large terrain. */
export function settingsOn(terrain: TerrainGrid): SweepSettings {
  return {
    ...LAUNCH,
    antennaAmslM: terrain.heights[LAUNCH.row * SIDE + LAUNCH.col] + 2,
    groundCellM: 30,
    kFactor: STANDARD_K_FACTOR,
    wavelengthM: wavelengthM(5800),
    fresnelFraction: USUAL_FRESNEL_FRACTION,
    radiusCells: Infinity,
    sector: null,
    clearingCells: 0,
  }
}
