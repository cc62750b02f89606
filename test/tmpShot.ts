import { chromium } from 'playwright'
import { serveWindow } from '../electron/browser/server'
import { temporaryFolder, DEMO_TERRAIN } from './support/places'
import { FolderStore } from '../electron/node/folderStore'
import { buildIfStale } from '../electron/build'
import { windowFolder } from '../electron/node/paths'
import { CHROMIUM } from './support/chromium'
import { writePlan } from '../core/plan/planFile'
import { siteOf } from '../core/surface/site'
import { readTerrainFile } from '../electron/node/terrainFile'
import { logCsv, plannedFlight, recorded } from './support/madeLog'
import { flownPlan } from './support/plans'
await buildIfStale()
const terrain = await readTerrainFile(DEMO_TERRAIN)
const plan = flownPlan(terrain)
const log = logCsv(
  recorded(plannedFlight(siteOf(terrain, plan, null), plan, 0.5), {
    excessDb: 5,
    noiseDb: 2,
    dropShare: 0.1,
    currentFactor: 1.15,
    currentNoise: 0.05,
    seed: 41,
  }),
)
const server = await serveWindow(windowFolder, 0, new FolderStore(temporaryFolder()))
const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] })
for (const [w, h] of [
  [1440, 900],
  [1024, 700],
]) {
  const page = await browser.newPage({ viewport: { width: w, height: h } })
  const drop = (n: string, t: string) =>
    page.evaluate(
      ([n, t]) => {
        const d = new DataTransfer()
        d.items.add(new File([t], n))
        document
          .querySelector('.window')!
          .dispatchEvent(
            new DragEvent('drop', { dataTransfer: d, bubbles: true, cancelable: true }),
          )
      },
      [n, t],
    )
  await page.goto(server.url)
  await page.waitForFunction(() =>
    /%/.test(document.querySelector('.legend-share')?.textContent ?? ''),
  )
  await drop('flown.geojson', writePlan({ plan, terrain: null }))
  await page.waitForTimeout(2500)
  await drop('flight-12.csv', log)
  await page.waitForTimeout(1500)
  await page.screenshot({ path: `/tmp/exp/s/log-${w}.png` })
  await page.getByRole('button', { name: 'Compare with the plan' }).click()
  await page.locator('.section > summary', { hasText: 'After the flight' }).click()
  await page.waitForTimeout(1500)
  const box = (await page.locator('.chart svg').boundingBox())!
  await page.mouse.click(box.x + box.width * 0.5, box.y + 60)
  await page.waitForTimeout(300)
  await page.screenshot({ path: `/tmp/exp/s/flown-${w}.png` })
  await page.getByRole('button', { name: 'Charge', exact: true }).click()
  await page.getByRole('button', { name: 'Measured to predicted' }).click()
  await page.waitForTimeout(500)
  await page.screenshot({ path: `/tmp/exp/s/charge-${w}.png` })
  await page.close()
}
await browser.close()
await server.close()
process.exit(0)
