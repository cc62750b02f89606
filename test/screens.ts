import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { chromium } from 'playwright'
import { serveWindow } from '../electron/browser/server'
import { siteOf } from '../core/surface/site'
import { readTerrainFile } from '../electron/node/terrainFile'
import { logCsv, plannedFlight, recorded } from './support/madeLog'
import { DEMO_TERRAIN, temporaryFolder } from './support/places'
import { flownPlan } from './support/plans'
import { FolderStore } from '../electron/node/folderStore'
import { buildIfStale } from '../electron/build'
import { projectFolder, windowFolder } from '../electron/node/paths'
import { CHROMIUM } from './support/chromium'

/** Pictures of the window in each state, at both sizes, into test/.out/screens. */
const folder = join(projectFolder, 'test/.out/screens')
mkdirSync(folder, { recursive: true })
await buildIfStale()
const terrain = await readTerrainFile(DEMO_TERRAIN)
const flownOn = flownPlan(terrain)
const log = logCsv(
  recorded(plannedFlight(siteOf(terrain, flownOn, null), flownOn, 0.5), {
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

const STATES = [
  [1440, 900, 'light'],
  [1024, 700, 'light'],
  [1440, 900, 'dark'],
  [1024, 700, 'dark'],
] as const

for (const [width, height, colorScheme] of STATES) {
  const page = await browser.newPage({ viewport: { width, height }, colorScheme })
  const picture = async (state: string) => {
    await page.waitForTimeout(900)
    await page.screenshot({ path: join(folder, `${state}-${width}-${colorScheme}.png`) })
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
  const section = (title: string) => page.locator('.section > summary', { hasText: title })
  await section('Radio path').click()
  await page.locator('.section', { hasText: 'Radio path' }).getByLabel('k-factor').fill('nothing')
  await page.keyboard.press('Enter')
  await picture('refusals')
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Dismiss' }).click()
  await page.getByRole('button', { name: 'm', exact: true }).click()
  await section('Radio path').click()
  for (const title of ['Launch point', 'Target', 'Flying height']) await section(title).click()
  await section('What stands on the ground').click()
  await page.getByLabel('Vegetation height').fill('12')
  await page.keyboard.press('Enter')
  await page.getByRole('button', { name: 'Wire' }).click()
  await click(0.3, 0.3)
  await click(0.5, 0.36)
  await click(0.56, 0.5)
  await picture('drawing')
  await page.getByRole('button', { name: 'Done' }).click()
  await page.getByRole('button', { name: 'Wood' }).click()
  for (const [x, y] of [
    [0.4, 0.55],
    [0.52, 0.6],
    [0.42, 0.72],
    [0.42, 0.72],
  ]) {
    await click(x, y)
  }
  await picture('standing')
  await section('What stands on the ground').click()
  await section('Flying height').click()
  await page.getByRole('button', { name: 'Sight from' }).click()
  await section('Read a line').click()
  await page.getByRole('button', { name: 'Line', exact: true }).click()
  for (const [x, y] of [
    [0.2, 0.2],
    [0.5, 0.12],
    [0.8, 0.3],
    [0.8, 0.3],
  ]) {
    await click(x, y)
  }
  await picture('heights')
  await section('Flying height').click()
  await section('Read a line').click()
  await section('Horizon').click()
  const chart2 = (await page.locator('.horizon').boundingBox())!
  await page.mouse.move(chart2.x + chart2.width * 0.7, chart2.y + chart2.height * 0.3)
  await picture('horizon')
  await section('Horizon').click()
  await section('Flying height').click()
  await page.getByRole('button', { name: 'Signal', exact: true }).click()
  await section('Video link').click()
  await click(0.62, 0.5)
  await page.locator('.figures-tabs').getByText('Video').click()
  await page.waitForTimeout(1500)
  await picture('signal')
  await page.getByRole('button', { name: 'Margin', exact: true }).click()
  await section('Video link').click()
  await section('Flying height').click()
  await section('Own transmitter').click()
  await picture('signal-scale')
  await section('Own transmitter').click()
  await section('Range and sector').click()
  await page.getByLabel('Only within a radius').check()
  await page.getByLabel('Radius', { exact: true }).fill('40')
  await page.keyboard.press('Enter')
  await section('Terrain').click()
  await section('Save results').click()
  await picture('terrain')
  await page.locator('.side').evaluate((side) => side.scrollTo(0, side.scrollHeight))
  await picture('side-end')

  // The route, on a window of its own.
  await page.goto(server.url)
  await page.waitForFunction(() =>
    /%/.test(document.querySelector('.legend-share')?.textContent ?? ''),
  )
  for (const title of ['Launch point', 'Target', 'Flying height', 'Route']) {
    await section(title).click()
  }
  await page.getByRole('button', { name: 'Draw on the map' }).click()
  for (const [x, y] of [
    [0.52, 0.4],
    [0.6, 0.34],
    [0.72, 0.3],
  ]) {
    await click(x, y)
  }
  await picture('route-drawing')
  await page.getByRole('button', { name: 'Done' }).click()
  await page.getByRole('button', { name: 'Out and back' }).click()
  await picture('route')
  await page.getByRole('button', { name: 'Lift to the floor' }).click()
  await page.getByRole('button', { name: /^Conflicts/ }).click()
  await section('Route').click()
  await section('Battery').click()
  await page.getByLabel('Show how far it gets').check()
  await section('Aircraft').click()
  await section('Wind').click()
  await page.getByLabel('Speed', { exact: true }).fill('18')
  await page.keyboard.press('Enter')
  await picture('route-battery')
  await page.getByRole('button', { name: 'Moment' }).click()
  await page.getByLabel('Along the route', { exact: true }).fill('120')
  for (const title of ['Battery', 'Aircraft', 'Wind', 'Ridge crossings']) {
    await section(title).click()
  }
  await page.getByRole('button', { name: 'Cols in view' }).click()
  await page.waitForTimeout(1500)
  await picture('route-cols')
  await click(0.3, 0.6)
  await picture('route-and-target')
  await section('Ridge crossings').click()
  await section('Landing areas').click()
  await page.getByRole('button', { name: 'Find landing areas' }).click()
  await page.waitForTimeout(3000)
  await page.locator('.found-areas tbody th button').nth(2).click()
  await page.getByRole('button', { name: 'Take area 1 into the plan', exact: true }).click()
  await picture('landing-areas')
  await section('Landing areas').click()
  await section('Safe valleys').click()
  await page.getByRole('button', { name: 'Show valleys' }).click()
  await page.waitForTimeout(2500)
  await picture('valleys')
  await page.getByRole('button', { name: 'Hide valleys' }).click()
  await section('Safe valleys').click()
  await section('Launch spots').click()
  await page.getByRole('button', { name: 'Find launch spots' }).click()
  await page.waitForSelector('.spot-mark', { state: 'attached', timeout: 60_000 })
  await page.getByRole('button', { name: 'Compare launch point' }).click()
  await page.getByRole('button', { name: 'Compare spot 1', exact: true }).click()
  await page.waitForTimeout(1500)
  await picture('launch-spots')
  await page.locator('.side').evaluate((side) => side.scrollTo(0, side.scrollHeight / 3))
  await picture('launch-spots-compared')
  await section('Compare plans').click()
  await page.getByRole('button', { name: 'This one, as it is' }).click()
  await page.getByRole('button', { name: 'Side by side…' }).click()
  await page.waitForTimeout(1500)
  await picture('compare')
  await page.keyboard.press('Escape')
  await section('Field brief').click()
  await page.getByRole('button', { name: 'Make the brief…' }).click()
  await page.waitForSelector('.brief-view iframe')
  await picture('brief')
  await page.keyboard.press('Escape')
  await section('After the flight').click()
  const logChooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Bring in a log…' }).click()
  await (
    await logChooser
  ).setFiles({ name: 'flight.csv', mimeType: 'text/csv', buffer: Buffer.from(log) })
  await picture('log')
  await page.getByRole('button', { name: 'Compare with the plan' }).click()
  await picture('flown-signal')
  await page.getByRole('button', { name: 'Charge', exact: true }).click()
  await picture('flown-charge')
  await section('Terrain').click()
  await page.getByRole('button', { name: 'Where to get terrain' }).click()
  await picture('terrain-guide')
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Another part or cell…' }).click()
  await page.getByLabel('A window around a place').check()
  await picture('another-part')
  await page.keyboard.press('Escape')
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Open terrain…' }).click()
  await (
    await chooser
  ).setFiles(
    ['base', 'lerc-zstd', 'south-up'].map((name) =>
      join(projectFolder, `test/fixtures/${name}.tif`),
    ),
  )
  await page.locator('.file-name').first().click()
  await picture('opening')
  await page.keyboard.press('Escape')
  await section('This program').click()
  await page.getByRole('button', { name: 'About Colsight…' }).click()
  await picture('about')
  await page.keyboard.press('Escape')
  await section('This program').press('F1')
  await picture('help')
  await page.close()
}

// Each layer of the map as eyes without one kind of cone see it, and without any.
const VISIONS = ['deuteranopia', 'protanopia', 'tritanopia', 'achromatopsia'] as const
const page = await browser.newPage({ viewport: { width: 1440, height: 900 } })
const devtools = await page.context().newCDPSession(page)
const seen = async (state: string) => {
  await page.waitForTimeout(1200)
  for (const type of VISIONS) {
    await devtools.send('Emulation.setEmulatedVisionDeficiency', { type })
    await page.screenshot({ path: join(folder, `vision-${state}-${type}.png`) })
  }
  await devtools.send('Emulation.setEmulatedVisionDeficiency', { type: 'none' })
}
const press = (name: string) => page.getByRole('button', { name, exact: true }).click()
await page.goto(server.url)
await page.waitForFunction(() =>
  /%/.test(document.querySelector('.legend-share')?.textContent ?? ''),
)
const map = (await page.locator('.map').boundingBox())!
await page.mouse.click(map.x + map.width * 0.72, map.y + map.height * 0.2)
await seen('answers')
await press('Fresnel from')
await seen('fresnel')
await press('Signal')
await seen('signal')
await press('Margin')
await seen('signal-scale')
await press('At height')
for (const title of ['Landing areas', 'Safe valleys', 'Launch spots']) {
  await page.locator('.section > summary', { hasText: title }).click()
}
await press('Find landing areas')
await page.waitForTimeout(3000)
await page.locator('.section > summary', { hasText: 'Ridge crossings' }).click()
await press('Cols in view')
await page.getByLabel('Weight: Cols').fill('1')
await page.keyboard.press('Enter')
await press('Show valleys')
await page.waitForTimeout(2500)
await seen('landing-valleys')
await press('Hide valleys')
await press('Find launch spots')
await page.waitForSelector('.spot-mark', { state: 'attached', timeout: 60_000 })
await seen('heat')
await browser.close()
await server.close()
console.log(`pictures in ${folder}`)
