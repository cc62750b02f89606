import { bareGround } from '../../core/surface/surface'
import { findAreas, USUAL_LANDING } from '../../core/landing/areas'
import { findBasins } from '../../core/landing/basins'
import { levelGround } from '../../core/landing/flatGround'
import { groundMargin, LANDED_HEIGHT_M, pictureShares } from '../../core/landing/landing'
import { groundShape } from '../../core/landing/slope'
import { unwalkable, USUAL_WALK, walkFrom } from '../../core/landing/walk'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { inSharedMemory, openNodePool } from '../../electron/node/sweepThreads'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { DEMO_TERRAIN } from '../support/places'
import { groundOf, sweepAll } from '../support/sweepAll'
import { bestOf, report } from './measure'

const PROMISED = { what: 'the promised', ms: 2000 }
const RUNS = 4

/** Finding landing areas, their pictures and the ways on foot over the demo. */
export async function landingBench(): Promise<void> {
  const terrain = await readTerrainFile(DEMO_TERRAIN)
  const shared = { ...terrain, heights: inSharedMemory(terrain.heights) }
  const { heights, cols, rows, cellM } = shared
  const { settings } = sweepAll(terrain, { col: 560, row: 466 })
  const { pool, close } = openNodePool()
  await pool.setGround({ ...shared, ...bareGround(shared) })
  const all = await bestOf(RUNS, async () => {
    const level = levelGround(heights, cols, cellM)
    const shape = groundShape(heights, cols, rows, cellM)
    const { areas } = findAreas(groundOf(shared), shape, level, null, cellM, USUAL_LANDING)
    const out = unwalkable(level, shape.slopeDeg, USUAL_WALK)
    walkFrom(heights, cols, rows, 466 * cols + 560, out, cellM, USUAL_WALK)
    const fields = await pool.sweep(settings, {})
    const link = VIDEO_PRESETS[1]
    const about = { settings, frequencyMhz: link.frequencyMhz, northRad: 0 }
    const task = { ...about, heightM: LANDED_HEIGHT_M, polarisation: 'horizontal' } as const
    const margin = groundMargin(link, (await pool.paths([{ task, fields }], {}))[0])
    areas.forEach((area) => pictureShares(area, fields, margin))
    pool.recycle(fields)
  })
  report('landing areas, pictures and ways on foot, 1000 x 1000 cells', all, PROMISED)
  await close()
  const water = levelGround(heights, cols, cellM)
  const basins = await bestOf(RUNS, () => findBasins(heights, cols, rows, water, 3000))
  report('valleys, 1000 x 1000 cells', basins, PROMISED)
}
