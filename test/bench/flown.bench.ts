import { briefHtml } from '../../core/brief/briefHtml'
import { fitCurrent } from '../../core/log/currentFit'
import { guessMapping, readLog, readLogTable } from '../../core/log/logTable'
import { predictAlong } from '../../core/log/predicted'
import { fitSignal } from '../../core/log/signalFit'
import { pathProfile } from '../../core/propagation/path'
import { pathBudget } from '../../core/radio/pathBudget'
import { siteOf } from '../../core/surface/site'
import { groundAt } from '../../core/terrain/grid'
import { groundPictures } from '../../electron/node/groundPictures'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { logCsv, plannedFlight, recorded } from '../support/madeLog'
import { DEMO_TERRAIN } from '../support/places'
import { flownPlan } from '../support/plans'
import { bestOf, report } from './measure'

/** A log of a long flight, and the field brief, on the demo site. */
export async function flownBench(): Promise<void> {
  const terrain = await readTerrainFile(DEMO_TERRAIN)
  const plan = flownPlan(terrain)
  const site = siteOf(terrain, plan, null)
  const planned = plannedFlight(site, plan, 0.1)
  const truth = { excessDb: 5, noiseDb: 2, currentFactor: 1.1, currentNoise: 0.05, seed: 3 }
  const text = logCsv(recorded(planned, truth))
  const mapping = guessMapping(readLogTable(text, 'log'))
  const [log] = readLog(text, 'log', mapping).flights
  const count = log.timeS.length
  report(`${count} moments of a log read`, await bestOf(3, () => readLog(text, 'log', mapping)))
  const predictMs = await bestOf(3, () => predictAlong(site, plan, log, 'video', false, 9))
  const from = { ...plan.launch, label: 'launch', heightM: plan.antennaHeightM }
  const seen = { ...site.surface, clearingM: plan.clearingM }
  const profilesMs = await bestOf(1, () => {
    for (const { latDeg, lonDeg, amslM } of planned.slice(1, count - 1)) {
      const at = { latDeg, lonDeg }
      const heightM = Math.max(0, amslM - groundAt(terrain, site.locator.toGrid(at)))
      const to = { ...at, label: 'aircraft', heightM }
      const path = pathProfile(terrain, from, to, plan.radio, seen)
      pathBudget(path, plan.video, plan.radio.kFactor, plan.foliage)
    }
  })
  report(`levels and kinds of way along ${count} moments, one thread`, predictMs, {
    what: 'a whole profile and budget for each',
    ms: profilesMs,
  })
  const predicted = predictAlong(site, plan, log, 'video', false, 9)
  report('excess loss with its interval', await bestOf(3, () => fitSignal(log, predicted, plan, plan.video))) // prettier-ignore
  report('current of the cruise with its interval', await bestOf(3, () => fitCurrent(plan, log, predicted))) // prettier-ignore
  const pictures = await groundPictures(terrain, site.surface, plan, plan.video)
  const words = { units: 'metric', coordinateStyle: 'decimal', paper: 'a4', title: 'Bench', madeAt: 'now' } as const // prettier-ignore
  const task = { site, plan, target: null, pictures, errorM: 9 }
  report('field brief, fields at hand', await bestOf(3, () => briefHtml(task, words)))
}
