import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { chromium } from 'playwright'
import { serveWindow } from '../electron/browser/server'
import { buildIfStale } from '../electron/build'
import { projectFolder, windowFolder } from '../electron/node/paths'
import { CHROMIUM } from './support/chromium'

/** Pictures of the window in each state, at both sizes, into test/.out/screens. */
const folder = join(projectFolder, 'test/.out/screens')
mkdirSync(folder, { recursive: true })
await buildIfStale()
const server = await serveWindow(windowFolder, 0)
const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] })

for (const [width, height] of [
  [1440, 900],
  [1024, 700],
]) {
  const page = await browser.newPage({ viewport: { width, height } })
  const picture = async (state: string) => {
    await page.waitForTimeout(900)
    await page.screenshot({ path: join(folder, `${state}-${width}.png`) })
  }
  await page.goto(server.url)
  await page.waitForFunction(() =>
    /%/.test(document.querySelector('.legend-share')?.textContent ?? ''),
  )
  await picture('start')
  const map = (await page.locator('.map').boundingBox())!
  const click = (x: number, y: number) =>
    page.mouse.click(map.x + map.width * x, map.y + map.height * y)
  await click(0.72, 0.2)
  await picture('profile')
  const chart = (await page.locator('.chart svg').boundingBox())!
  await page.mouse.move(chart.x + chart.width * 0.5, chart.y + 80)
  await picture('profile-cursor')
  await page.getByRole('button', { name: 'ft', exact: true }).click()
  await page.mouse.move(map.x + 300, map.y + 200)
  await picture('feet')
  await page.getByLabel('Latitude', { exact: true }).fill('12')
  await page.keyboard.press('Enter')
  await page.getByLabel('Frequency').fill('nothing')
  await page.keyboard.press('Enter')
  await picture('refusals')
  await page.locator('.side').evaluate((side) => side.scrollTo(0, side.scrollHeight))
  await page.getByText('Tile server').click()
  await picture('side-end')
  await page.close()
}
await browser.close()
await server.close()
console.log(`pictures in ${folder}`)
