import { execFileSync } from 'node:child_process'
import { availableParallelism } from 'node:os'
import { fileURLToPath } from 'node:url'
import { RadialSweep } from '../../core/coverage/radialSweep'
import { emptyFields } from '../../core/coverage/sweepThread'
import { bareGround } from '../../core/surface/surface'
import { directionTables } from '../../core/radio/margin'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { inSharedMemory, openNodePool } from '../../electron/node/sweepThreads'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { exactClearHeights, judge, seededRandom } from '../support/exactReference'
import { HAS_CHROMIUM } from '../support/chromium'
import { DEMO_TERRAIN, isInstalled, SAN_GABRIEL_UTM } from '../support/places'
import { groundOf, sweepAll } from '../support/sweepAll'
import { Viewshed } from '../support/viewshed'
import { largeTerrain, LAUNCH, settingsOn, SIDE } from './largeTerrain'
import { marginWorks } from './marginWorks'
import { bestOf, middleOfEach, report } from './measure'
import { windowMarginTimes } from './windowMargin.bench'

const RUNS = 12
const TURNS = 40
const HAS_VIEWSHED = isInstalled('gdal_viewshed')

/** Both fields on one thread and on all cores, against a whole run of GDAL's viewshed program. */
export async function coverageBench(): Promise<void> {
  if (!HAS_VIEWSHED) console.log('gdal_viewshed is not installed: no ratios')
  await speed()
  await marginSpeed()
  memory()
  await exactness()
}

async function speed(): Promise<void> {
  const terrain = await largeTerrain()
  const settings = settingsOn(terrain)
  const fields = emptyFields(terrain.heights.length)
  const ground = groundOf(terrain)
  const onOneThread = () => {
    const sweep = new RadialSweep(ground, settings, fields)
    sweep.run(0, sweep.rayCount)
  }
  const one = await bestOf(RUNS, onOneThread)
  const { pool, close } = openNodePool()
  const shared = { ...terrain, heights: inSharedMemory(terrain.heights) }
  await pool.setGround({ ...shared, ...bareGround(shared) })
  // As the window does: what is no longer shown is written over.
  const all = await bestOf(RUNS, async () => pool.recycle(await pool.sweep(settings, {})))
  const viewshed = HAS_VIEWSHED ? new Viewshed(terrain, LAUNCH.col, LAUNCH.row, 60) : null
  const theirs = viewshed ? await bestOf(RUNS, () => viewshed.run()) : NaN
  await close()

  const reference = viewshed && { what: 'gdal_viewshed, sight only', ms: theirs }
  const cells = SIDE * SIDE
  const pace = (ms: number) => `${(cells / ms / 1000).toFixed(1)} million cells a second`
  const what = `both fields, ${SIDE} x ${SIDE} cells`
  report(`${what}, one thread (${pace(one)})`, one, reference)
  report(`${what}, ${availableParallelism()} cores (${pace(all)})`, all, reference)
}

/** Path losses over the demo, against the two clear-height fields, on all cores. */
async function marginSpeed(): Promise<void> {
  const terrain = await readTerrainFile(DEMO_TERRAIN)
  const { settings } = sweepAll(terrain, { col: 560, row: 466 })
  const { pool, close } = openNodePool()
  const shared = { ...terrain, heights: inSharedMemory(terrain.heights) }
  await pool.setGround({ ...shared, ...bareGround(shared) })
  const times = await middleOfEach(TURNS, await marginWorks(pool, settings))
  await close()
  reportMargins('under Node', times)
  if (HAS_CHROMIUM) reportMargins('in chromium', await windowMarginTimes(terrain, settings, TURNS))
  else console.log('no chromium: path losses in the window not measured')
  const link = await bestOf(RUNS, () => directionTables(VIDEO_PRESETS[1]))
  report('margins by direction after a change of power or antenna', link, {
    what: 'the promised repaint',
    ms: 50,
  })
}

function reportMargins(where: string, [both, one, two]: readonly number[]): void {
  const fields = { what: 'both clear-height fields', ms: both }
  report(`path losses of one link alone, 1000 x 1000 cells, ${where}`, one, fields)
  report(`path losses of video and control together, for each of them, ${where}`, two / 2, fields)
}

/** In a process of its own, so that nothing else is counted. */
function memory(): void {
  if (process.platform !== 'linux') {
    console.log('peak memory is measured on Linux alone')
    return
  }
  const script = fileURLToPath(new URL('./memory.ts', import.meta.url))
  const bytes = Number(execFileSync('npx', ['tsx', script], { encoding: 'utf8' }))
  console.log(
    `peak memory beyond grid and fields: ${bytes.toFixed(1)} bytes a cell, ${(bytes / 6).toFixed(2)} times the promised 6`,
  )
}

/** Cells on the wrong side of the flying height, beside those of GDAL's viewshed program. */
async function exactness(): Promise<void> {
  const cells = 10_000
  const heightsM = [30, 60, 120]
  console.log(`misjudged of ${cells} random cells at ${heightsM.join(', ')} m, percent:`)
  for (const path of [DEMO_TERRAIN, SAN_GABRIEL_UTM]) {
    if (!path) continue
    const terrain = await readTerrainFile(path)
    const [col, row] = [Math.round(terrain.cols * 0.42), Math.round(terrain.rows * 0.4)]
    const { settings, ...fields } = sweepAll(terrain, { col, row })
    const found = judge(groundOf(terrain), settings, fields, { cells, heightsM })
    const line = (who: string, percents: readonly number[]) =>
      console.log(`  ${terrain.name}, ${who}: ${percents.map((p) => p.toFixed(2)).join(', ')}`)
    line('sight', Object.values(found.sightPercent))
    line('Fresnel', Object.values(found.fresnelPercent))
    if (!HAS_VIEWSHED) continue
    const theirs: number[] = []
    for (const heightM of heightsM) {
      const viewshed = new Viewshed(terrain, col, row, heightM)
      viewshed.run()
      const seen = await viewshed.seen()
      const random = seededRandom(1)
      let wrong = 0
      for (let k = 0; k < cells; k++) {
        const at = [Math.floor(random() * terrain.cols), Math.floor(random() * terrain.rows)]
        const exact = exactClearHeights(groundOf(terrain), settings, at[0], at[1]).sightM
        if (seen[at[1] * terrain.cols + at[0]] > 0 !== exact <= heightM) wrong++
      }
      theirs.push((100 * wrong) / cells)
    }
    line('gdal_viewshed, sight', theirs)
  }
}
