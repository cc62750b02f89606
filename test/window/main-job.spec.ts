import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { madeTerrain } from '../support/madeTerrain'
import { SAN_GABRIEL_DEGREES } from '../support/places'
import { expect, test, type ColsightWindow } from './window'

test('starts on the demo site, shaded, with its legend', async ({ colsight, page }) => {
  expect(await page.evaluate(() => crossOriginIsolated)).toBe(true)
  await expect(page.locator('.marker-launch')).toBeVisible()
  await colsight.hasTerrain('Durrask massif (demo)')
  const shares = await colsight.shares()
  expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(100, 0)
  expect(shares[0]).toBeGreaterThan(0.5)
  expect(await colsight.shadedPixels()).toBeGreaterThan(0.5)
})

test('the launch point is dragged, and undone', async ({ colsight, page }) => {
  const latitude = page.getByLabel('Latitude', { exact: true })
  const [before, shares] = [await latitude.inputValue(), await colsight.shares()]
  const marker = (await page.locator('.marker-launch').boundingBox())!
  await page.mouse.move(marker.x + marker.width / 2, marker.y + marker.height / 2)
  await page.mouse.down()
  const to = await colsight.mapPoint(0.3, 0.3)
  await page.mouse.move(to.x, to.y, { steps: 12 })
  await page.mouse.up()
  await expect(latitude).not.toHaveValue(before)
  await expect.poll(() => colsight.shares()).not.toEqual(shares)
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect(latitude).toHaveValue(before)
  await expect.poll(() => colsight.shares()).toEqual(shares)
  await page.keyboard.press('Control+Shift+Z')
  await expect(latitude).not.toHaveValue(before)
})

test('a greater flying height shows more, at once', async ({ colsight, page }) => {
  const slider = page.getByRole('slider', { name: /Flying height/ })
  const seen: number[] = []
  for (const height of ['0', '30', '120', '300']) {
    await slider.fill(height)
    seen.push((await colsight.shares())[0])
  }
  expect(seen).toEqual([...seen].sort((a, b) => a - b))
  expect(seen[3]).toBeGreaterThan(seen[0])
  await page.getByLabel('Above ground', { exact: true }).fill('750')
  await page.keyboard.press('Enter')
  expect((await colsight.shares())[0]).toBeGreaterThan(seen[3])
})

test('a clicked target shows its profile, and pointer and marker move together', async ({
  colsight,
  page,
}) => {
  const at = await colsight.mapPoint(0.66, 0.36)
  await page.mouse.move(at.x, at.y)
  await expect(page.locator('.readout')).toContainText(/Ground\s*\d/)
  await expect(page.locator('.readout')).toContainText(/Clear height, Fresnel\s*[\d,]+ m/)
  await page.mouse.click(at.x, at.y)
  const figures = page.locator('.figures')
  await expect(figures).toContainText(/Distance\s*[\d.]+ km at/)
  await expect(figures).toContainText(/Least Fresnel ratio/)
  await expect(page.locator('.verdict')).toHaveText(/clear|obstructed|Blocked/)
  await expect(page.locator('.chart .worst text')).toHaveText(/tightest: -?[\d.]+ F1|too low here/)

  const chart = (await page.locator('.chart svg').boundingBox())!
  const cursor = page.locator('.marker-cursor')
  await page.mouse.move(chart.x + chart.width * 0.3, chart.y + 60)
  await expect(cursor).toBeVisible()
  const near = (await cursor.boundingBox())!
  await page.mouse.move(chart.x + chart.width * 0.9, chart.y + 60)
  const far = (await cursor.boundingBox())!
  const launch = (await page.locator('.marker-launch').boundingBox())!
  const away = (box: { x: number; y: number }) => Math.hypot(box.x - launch.x, box.y - launch.y)
  expect(away(far)).toBeGreaterThan(away(near))
  await expect(page.locator('.cursor-figures')).toContainText('clearance')

  await page.locator('.chart svg').focus()
  await page.keyboard.press('Home')
  await expect(page.locator('.cursor-figures')).toContainText(/^0 m/)
  await page.getByRole('button', { name: 'Close the profile' }).click()
  await expect(page.locator('.profile-empty')).toBeVisible()
})

test('a radius and a sector narrow what is looked at', async ({ colsight, page }) => {
  await colsight.toggle('Range and sector')
  const whole = await colsight.shares()
  await page.getByLabel('Only within a radius').check()
  await page.getByLabel('Radius', { exact: true }).fill('3')
  await page.keyboard.press('Enter')
  await expect.poll(async () => (await colsight.shares())[0]).toBeGreaterThan(whole[0] * 3)
  const covered = await colsight.shadedPixels()
  await page.getByLabel('Only in a sector').check()
  const range = page.locator('.section', { hasText: 'Range and sector' })
  await range.getByLabel('Azimuth').fill('45')
  await page.keyboard.press('Enter')
  await expect.poll(() => colsight.shadedPixels()).toBeLessThan(covered / 3)
  await range.getByLabel('Width', { exact: true }).fill('0')
  await page.keyboard.press('Enter')
  await expect(page.locator('.field-problem')).toContainText('from 1 to 360')
  await page.getByLabel('Only within a radius').uncheck()
  await page.getByLabel('Only in a sector').uncheck()
  await expect.poll(() => colsight.shares()).toEqual(whole)
})

test('on a large terrain the coverage follows the hand, and is refined when it rests', async ({
  colsight,
  page,
}) => {
  const hills = madeTerrain(
    1500,
    20,
    (east, north) => 500 + 200 * Math.sin(east / 900) * Math.cos(north / 700),
  )
  await colsight.dropAndPlan(['large.tif', writeGeoTiff(hills.heights, hills)])
  await colsight.hasTerrain('large.tif')
  await colsight.shaded()
  const marker = (await page.locator('.marker-launch').boundingBox())!
  await page.mouse.move(marker.x + marker.width / 2, marker.y + marker.height / 2)
  await page.mouse.down()
  await page.mouse.move(marker.x + 60, marker.y + 40, { steps: 4 })
  await page.evaluate(() => {
    const seen: number[][] = []
    Object.assign(window, { seen })
    const read = () => {
      const shares = [...document.querySelectorAll('.legend-share')]
      seen.push(shares.map(({ textContent }) => Number.parseFloat(textContent ?? '')))
    }
    const watched = { subtree: true, characterData: true }
    new MutationObserver(read).observe(document.querySelector('.legend')!, watched)
  })
  await page.mouse.move(marker.x + 90, marker.y + 60)
  // The hand rests, with the button still down: a coarse coverage first, then the full one.
  const seen = () => page.evaluate(() => (window as unknown as { seen: number[][] }).seen)
  await expect.poll(async () => (await seen()).length).toBeGreaterThanOrEqual(2)
  const refined = await colsight.settledShares()
  const coarse = (await seen()).at(-2)!
  expect(refined).not.toEqual(coarse)
  expect(Math.abs(refined[4] - coarse[4])).toBeLessThan(5)
  await page.mouse.up()
})

test('the whole job by keyboard', async ({ page }) => {
  await page.getByRole('button', { name: 'Target in the middle of the map' }).focus()
  await page.keyboard.press('Enter')
  await expect(page.locator('.verdict')).toBeVisible()
  const longitude = page.getByLabel('Target longitude')
  await longitude.fill('166.35')
  await longitude.press('Enter')
  await expect(page.locator('.figures')).toContainText(/Distance/)
  await page.locator('.chart svg').focus()
  await page.keyboard.press('End')
  await expect(page.locator('.cursor-figures')).toContainText('clearance')
  // A nearer target has fewer samples than the cursor was at.
  await longitude.fill('166.325')
  await longitude.press('Enter')
  await expect(page.locator('.cursor-figures')).toContainText('Point at the profile')
})

test('a site across the 180th meridian stays in one piece', async ({ colsight, page }) => {
  const middle = { westM: 740_000, northM: 1_110_000 }
  const crs = { name: 'WGS 84 / UTM zone 60N', epsg: 32660, definition: '' }
  const terrain = { ...madeTerrain(400, 50, (east) => 200 + east / 100), ...middle, crs }
  await colsight.dropAndPlan(['dateline.tif', writeGeoTiff(terrain.heights, terrain)])
  await colsight.hasTerrain('dateline.tif')
  await colsight.shaded()
  await expect.poll(() => colsight.shadedPixels()).toBeGreaterThan(0.1)
  await expect(page.locator('.marker-launch')).toBeInViewport()
})

test('metres and feet', async ({ colsight, page }) => {
  await colsight.toggle('Terrain')
  const range = page.locator('.facts').filter({ hasText: 'Heights' })
  await expect(range).toContainText('to 2,309 m')
  await page.getByRole('button', { name: 'ft', exact: true }).click()
  await expect(range).toContainText('to 7,574 ft')
  await expect(page.getByLabel('Antenna above ground')).toHaveValue('6.6')
  await expect(page.locator('.leaflet-control-scale')).toContainText(/mi|ft/)
})

test('a dropped terrain takes the place of the demo', async ({ colsight, page }) => {
  const hills = madeTerrain(200, 25, (east, north) => 300 + 120 * Math.sin(east / 400) + north / 40)
  await colsight.dropAndPlan(['hills.tif', writeGeoTiff(hills.heights, hills)])
  await colsight.hasTerrain('hills.tif')
  await colsight.shaded()
  await colsight.toggle('Terrain')
  await expect(page.locator('.facts').filter({ hasText: 'Grid' })).toContainText('200 × 200')
  await page.getByRole('button', { name: 'Demo site' }).click()
  await colsight.hasTerrain('Durrask massif (demo)')
})

test('terrain in degrees, chosen by the button', async ({ colsight, page }) => {
  test.skip(!SAN_GABRIEL_DEGREES, 'skipped: no ../shared/terrain')
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Open terrain…' }).click()
  await (await chooser).setFiles(SAN_GABRIEL_DEGREES!)
  await colsight.planOnThis()
  await colsight.toggle('Terrain')
  await expect(page.getByText('resampled from WGS 84')).toBeVisible()
  await colsight.shaded()
  expect(await colsight.shadedPixels()).toBeGreaterThan(0.1)
})

test('files and values that make no sense are refused in a sentence, and all else stays', async ({
  colsight,
  page,
}) => {
  await colsight.toggle('Radio path')
  const shares = await colsight.shares()
  const notice = page.getByRole('alert').first()
  await colsight.drop(['holiday.tif', new TextEncoder().encode('no picture, no heights')])
  await expect(notice).toContainText('"holiday.tif" is not a TIFF file')
  const empty = madeTerrain(20, 30, () => NaN)
  await colsight.drop(['empty.tif', writeGeoTiff(empty.heights, empty)])
  await expect(notice).toContainText('"empty.tif" holds no heights at all')
  await notice.getByRole('button', { name: 'Dismiss' }).click()
  await expect(notice).toBeEmpty()

  const latitude = page.getByLabel('Latitude', { exact: true })
  await latitude.fill('12')
  await latitude.press('Enter')
  await expect(notice).toContainText(/launch point .* is off the terrain/)
  for (const [text, field] of [
    ['-3', 'Antenna above ground'],
    ['NaN', 'Fresnel share wanted'],
    ['1e999', 'k-factor'],
  ]) {
    await page.getByLabel(field).fill(text)
    await page.getByLabel(field).press('Enter')
    await expect(page.locator('.field-problem')).toContainText('Give a number from')
    await page.getByLabel(field).press('Escape')
  }
  expect(await colsight.shares()).toEqual(shares)
  await colsight.hasTerrain('Durrask massif (demo)')
})

test.describe('online tiles', () => {
  let tiles: Server
  const asked: string[] = []
  // One grey pixel.
  const png = Buffer.from(
    'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkaGj4DwAChAGAZ3zPyAAAAABJRU5ErkJggg==',
    'base64',
  )
  /** What the server does when asked for a tile. */
  let answer: 'image' | 'page' | 'elsewhere' | 'never' = 'image'
  let elsewhere: Server
  let strayed = 0
  const portOf = (server: Server) => (server.address() as AddressInfo).port
  test.beforeAll(async () => {
    elsewhere = createServer((_, response) => {
      strayed++
      response.writeHead(200, { 'Content-Type': 'image/png' }).end(png)
    })
    tiles = createServer((request, response) => {
      asked.push(request.url ?? '')
      if (answer === 'image') response.writeHead(200, { 'Content-Type': 'image/png' }).end(png)
      if (answer === 'page') {
        const page = '<script>parent.document.title = "taken"</script>'
        response.writeHead(200, { 'Content-Type': 'text/html' }).end(page)
      }
      if (answer === 'elsewhere') {
        const location = `http://127.0.0.1:${portOf(elsewhere)}${request.url}`
        response.writeHead(302, { Location: location }).end()
      }
      // Never: nothing is said, and nothing ends.
    })
    for (const server of [tiles, elsewhere]) {
      await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
    }
  })
  test.afterAll(() => {
    for (const server of [tiles, elsewhere]) {
      server.close()
      server.closeAllConnections()
    }
  })

  /** Names the server, loads the window anew as it asks for, and turns the tiles on. */
  async function turnOn(colsight: ColsightWindow): Promise<void> {
    const { page } = colsight
    await colsight.toggle('Base map')
    await page.getByText('Tile server').click()
    const template = page.getByLabel(/Address with/)
    await template.fill(`http://127.0.0.1:${portOf(tiles)}/{z}/{x}/{y}.png`)
    await template.press('Enter')
    await page.getByLabel(/Attribution/).fill('© tile <b>makers</b>')
    await page.getByLabel(/Attribution/).press('Enter')
    // The page's policy lets no other server in than the one it was loaded with.
    await page.getByLabel('Online map tiles on top').check()
    await expect(page.getByText('Another tile server is let in')).toBeVisible()
    expect(asked).toEqual([])
    await page.getByRole('button', { name: 'Load it now' }).click()
    await colsight.shaded()
    await colsight.toggle('Base map')
    expect(asked).toEqual([])
    await page.getByLabel('Online map tiles on top').check()
    await expect.poll(() => asked.length).toBeGreaterThan(3)
  }

  test.beforeEach(() => {
    asked.length = 0
    answer = 'image'
  })

  test('are off until turned on, come as looked at, and go again', async ({ colsight, page }) => {
    await turnOn(colsight)
    expect(asked.length).toBeLessThan(60)
    await expect(page.locator('.leaflet-control-attribution')).toHaveText('© tile <b>makers</b>')
    await expect(page.locator('img.leaflet-tile-loaded').first()).toBeVisible()
    await page.getByLabel('Online map tiles on top').uncheck()
    await expect(page.locator('img.leaflet-tile')).toHaveCount(0)
    await page.getByText('Tile server').click()
    await page.getByLabel(/Address with/).fill('ftp://nothing')
    await page.getByLabel(/Address with/).press('Enter')
    await expect(page.getByRole('alert').first()).toContainText('is no tile address')
  })

  test('that are a page, lead elsewhere or never come do no harm', async ({ colsight, page }) => {
    answer = 'page'
    await turnOn(colsight)
    await expect(page.getByRole('alert').first()).toContainText('tile server does not answer')
    expect(await page.title()).toBe('Colsight')
    answer = 'elsewhere'
    await page.locator('.leaflet-control-zoom-in').click()
    await expect(page.locator('img.leaflet-tile').first()).toBeAttached()
    await page.waitForTimeout(800)
    // The redirect was refused by the page's policy: the other server never heard of it.
    expect(strayed).toBe(0)
    answer = 'never'
    await page.locator('.leaflet-control-zoom-in').click()
    // The window goes on working.
    await page.getByRole('textbox', { name: 'Above ground', exact: true }).fill('90')
    await page.keyboard.press('Enter')
    await colsight.settledShares()
    await expect(page.locator('.map')).toBeVisible()
    // That the policy refused is in the console, and is all that is.
    expect(colsight.problems.every((text) => /Content Security Policy/.test(text))).toBe(true)
    colsight.problems.length = 0
  })
})

test('a smaller window keeps everything in reach', async ({ colsight, page }) => {
  await page.setViewportSize({ width: 1024, height: 700 })
  const at = await colsight.mapPoint(0.6, 0.4)
  await page.mouse.click(at.x, at.y)
  await expect(page.locator('.chart svg')).toBeVisible()
  await expect(page.locator('.cursor-figures')).toBeInViewport({ ratio: 0.9 })
  const overflow = await page.evaluate(
    () => document.documentElement.scrollWidth > document.documentElement.clientWidth,
  )
  expect(overflow).toBe(false)
})

test('nothing is asked of any other host', async ({ page, server }) => {
  const foreign: string[] = []
  page.on('request', (request) => {
    if (!request.url().startsWith(server.url) && !/^(data|blob):/.test(request.url())) {
      foreign.push(request.url())
    }
  })
  await page.reload()
  await expect(page.locator('.legend-share').first()).toHaveText(/%/)
  expect(foreign).toEqual([])
})
