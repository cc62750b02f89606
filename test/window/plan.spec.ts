import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { readPlan } from '../../core/plan/planFile'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { madeTerrain } from '../support/madeTerrain'
import { expect, storeFolder, test, type ColsightWindow } from './window'

const hills = madeTerrain(200, 25, (east, north) => 300 + 120 * Math.sin(east / 400) + north / 40)
const HILLS = ['hills.tif', writeGeoTiff(hills.heights, hills)] as const

async function savedText(colsight: ColsightWindow): Promise<string> {
  const download = colsight.page.waitForEvent('download')
  await colsight.page.getByRole('button', { name: 'Save plan…' }).click()
  return readFileSync(await (await download).path(), 'utf8')
}

/** Names of what is kept. */
function kept(): string[] {
  return existsSync(storeFolder) ? readdirSync(storeFolder) : []
}
const drafts = () => kept().filter((name) => name.startsWith('draft-') && name.endsWith('.txt'))

test('every change is kept by itself, and offered when the program ended without warning', async ({
  colsight,
  page,
  context,
  server,
}) => {
  await page.getByLabel('Antenna above ground').fill('4')
  await page.keyboard.press('Enter')
  await expect.poll(drafts).toHaveLength(1)
  // The page is gone at once, as in a crash: nothing is asked.
  await page.close({ runBeforeUnload: false })
  const next = await context.newPage()
  await next.goto(server.url)
  const offer = next.getByRole('region', { name: 'Plan that was not saved' })
  await expect(offer).toContainText('plan.geojson had changes in no file')
  await offer.getByRole('button', { name: 'Go on with it' }).click()
  await expect(next.getByLabel('Antenna above ground')).toHaveValue('4')
  await expect(offer).toHaveCount(0)
  await expect.poll(drafts).toHaveLength(1)
  // Set back to what it was it still is in no file: the draft came from elsewhere.
  await expect(next.locator('.section-summary', { hasText: 'not saved' })).toBeVisible()
  await next.close({ runBeforeUnload: false })
  const third = await context.newPage()
  await third.goto(server.url)
  await third
    .getByRole('region', { name: 'Plan that was not saved' })
    .getByRole('button', { name: 'Put aside' })
    .click()
  await expect.poll(drafts).toHaveLength(0)
  await third.locator('.section > summary', { hasText: 'Plan file' }).click()
  await third.getByText('Recent plans (1)').click()
  await third.getByRole('button', { name: /^Open plan.geojson of/ }).click()
  await expect(third.getByLabel('Antenna above ground')).toHaveValue('4')
  await third.close({ runBeforeUnload: false })
  void colsight
})

test('closing with changes in no file is warned of, and not after saving', async ({
  colsight,
  page,
}) => {
  const asks = () =>
    page.evaluate(() => !window.dispatchEvent(new Event('beforeunload', { cancelable: true })))
  expect(await asks()).toBe(false)
  await page.getByLabel('Antenna above ground').fill('5')
  await page.keyboard.press('Enter')
  expect(await asks()).toBe(true)
  await colsight.toggle('Plan file')
  await savedText(colsight)
  await expect(page.locator('.plan-state')).toContainText('plan.geojson, saved')
  expect(await asks()).toBe(false)
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect(page.locator('.plan-state')).toContainText('changes in no file')
})

test('what is kept but cannot be read is said, and not written over', async ({
  colsight,
  page,
  server,
}) => {
  const written: string[] = []
  await page.route('**/store/recent-plans', (route) => {
    if (route.request().method() === 'GET') return route.fulfill({ status: 500 })
    written.push(route.request().method())
    return route.continue()
  })
  await colsight.start(server.url)
  await expect(page.getByRole('alert')).toContainText('cannot be read just now')
  await colsight.toggle('Plan file')
  await savedText(colsight)
  await expect(page.locator('.plan-state')).toContainText('plan.geojson, saved')
  expect(written).toEqual([])
  // The browser itself writes failed answers into its console.
  expect(colsight.problems.every((text) => text.includes('500'))).toBe(true)
  colsight.problems.length = 0
})

test('two windows of one host hear of each other', async ({ colsight, page, context, server }) => {
  const other = await context.newPage()
  await other.goto(server.url)
  await expect(other.locator('.legend-share').first()).toHaveText(/%/)
  await page.getByRole('button', { name: 'ft', exact: true }).click()
  await expect(other.getByRole('button', { name: 'ft', exact: true })).toHaveAttribute(
    'aria-pressed',
    'true',
  )
  await colsight.toggle('Plan file')
  await savedText(colsight)
  await other.locator('.section > summary', { hasText: 'Plan file' }).click()
  await expect(other.getByText('Recent plans (1)')).toBeVisible()
  await other.close({ runBeforeUnload: false })
})

test('steps have names, and are gone back to', async ({ colsight, page }) => {
  const antenna = page.getByLabel('Antenna above ground')
  await antenna.fill('6')
  await antenna.press('Enter')
  await colsight.clickMap([0.7, 0.3])
  await expect(page.locator('.verdict')).toBeVisible()
  const undo = page.getByRole('button', { name: 'Undo' })
  await expect(undo).toHaveAttribute('title', 'Undo: set the target (Ctrl+Z)')
  await undo.click()
  await expect(undo).toHaveAttribute('title', 'Undo: antenna height (Ctrl+Z)')
  await expect(page.getByRole('button', { name: 'Redo' })).toHaveAttribute(
    'title',
    'Redo: set the target (Ctrl+Shift+Z)',
  )
  await colsight.toggle('Plan file')
  await page.getByText('Steps (2)').click()
  await page.getByRole('button', { name: 'beginning' }).click()
  await expect(antenna).toHaveValue('2')
  await page.getByRole('button', { name: 'set the target', exact: true }).click()
  await expect(antenna).toHaveValue('6')
  await expect(page.locator('.verdict')).toBeVisible()
})

test('a plan finds its terrain again, or asks for it', async ({ colsight, page }) => {
  await page.getByLabel('Antenna above ground').fill('7')
  await page.keyboard.press('Enter')
  await colsight.toggle('Plan file')
  const onDemo = await savedText(colsight)
  expect(readPlan(onDemo, 'p').terrain?.files[0].name).toBe('Durrask massif (demo)')

  await colsight.dropAndPlan(HILLS)
  await colsight.hasTerrain('hills.tif')
  await page.getByLabel('Antenna above ground').fill('8')
  await page.keyboard.press('Enter')
  const onHills = await savedText(colsight)
  // The demo comes by itself.
  await colsight.drop(['demo.geojson', new TextEncoder().encode(onDemo)])
  await colsight.hasTerrain('Durrask massif (demo)')
  await expect(page.getByLabel('Antenna above ground')).toHaveValue('7')
  await expect(page.locator('.plan-state')).toContainText('demo.geojson, saved')

  // Other files are asked for, and told apart.
  await colsight.drop(['hills.geojson', new TextEncoder().encode(onHills)])
  const sheet = page.getByRole('dialog', { name: 'Terrain of the plan' })
  await expect(sheet).toContainText('hills.tif')
  await sheet.getByRole('button', { name: 'Use the terrain at hand' }).click()
  await expect(sheet.getByRole('alert')).toContainText('is off the terrain')
  const choose = async (name: string, bytes: Uint8Array) => {
    const chooser = page.waitForEvent('filechooser')
    await sheet.getByRole('button', { name: 'Choose terrain…' }).click()
    const buffer = Buffer.from(bytes)
    await (await chooser).setFiles({ name, mimeType: 'image/tiff', buffer })
  }
  const others = { ...hills, heights: hills.heights.map((height) => height + 1) }
  await choose('hills.tif', writeGeoTiff(others.heights, others))
  await expect(sheet).toContainText('What you chose are other files')
  await choose('renamed.tif', HILLS[1])
  await expect(sheet).toHaveCount(0)
  await colsight.hasTerrain('renamed.tif')
  await expect(page.getByLabel('Antenna above ground')).toHaveValue('8')
})

test('what the pilot prefers is there at the next start', async ({ page, context, server }) => {
  await page.getByRole('button', { name: 'ft', exact: true }).click()
  await expect.poll(kept).toContain('preferences.txt')
  const next = await context.newPage()
  await next.goto(server.url)
  await expect(next.getByRole('button', { name: 'ft', exact: true })).toHaveAttribute(
    'aria-pressed',
    'true',
  )
  await next.close()
})
