import { writePlan } from '../../core/plan/planFile'
import { reckon } from '../../core/plan/reckoning'
import { siteOf } from '../../core/surface/site'
import { formatDuration } from '../../core/words/routeWords'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { DEMO_TERRAIN } from '../support/places'
import { flownPlan } from '../support/plans'
import { expect, test } from './window'

const terrain = await readTerrainFile(DEMO_TERRAIN)
const plan = flownPlan(terrain)
const shorter = { ...plan, route: { ...plan.route, waypoints: plan.route.waypoints.slice(0, 2) } }
const bytes = (text: string) => new TextEncoder().encode(text)
const asFile = (one: typeof plan) => Buffer.from(writePlan({ plan: one, terrain: null }))

test('plans of one site stand side by side, with their routes on the map', async ({ colsight }) => {
  const { page } = colsight
  await colsight.drop(['far.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await colsight.toggle('Compare plans')
  const section = page.locator('.section', { hasText: 'Compare plans' })
  const chooser = page.waitForEvent('filechooser')
  await section.getByRole('button', { name: 'Another plan…' }).click()
  await (
    await chooser
  ).setFiles({ name: 'near.geojson', mimeType: 'application/json', buffer: asFile(shorter) })
  await expect(section.locator('.recent')).toContainText('near')
  await expect(page.locator('.leaflet-overlay-pane path[stroke="#7b2d8e"]').first()).toBeAttached()
  await section.getByRole('button', { name: 'This one, as it is' }).click()
  await section.getByRole('button', { name: 'Side by side…' }).click()
  const table = page.locator('.compare')
  await expect(page.getByLabel('Figures of the plans')).toHaveAttribute('aria-busy', 'false')
  await expect(table.locator('thead th')).toHaveText(['far at hand', 'near', 'far before'])
  // The figures are those that each plan reckons by itself.
  const times = table.locator('tr', { hasText: /^Time/ }).locator('td')
  for (const [i, one] of [plan, shorter, plan].entries()) {
    const { flight } = reckon(siteOf(terrain, one, null), one)
    await expect(times.nth(i)).toContainText(formatDuration(flight.landed!.timeS))
  }
  // The shorter one is best, and differs; the copy does not.
  await expect(times.nth(1)).toHaveClass('differs')
  await expect(times.nth(1).locator('.best')).toBeVisible()
  await expect(times.nth(2)).not.toHaveClass('differs')
  await expect(times.nth(0).locator('.best')).toHaveCount(0)
  await page.getByRole('button', { name: 'Close', exact: true }).click()
  // The plan at hand goes on, the copy stays.
  await colsight.toggle('Route')
  await page.getByRole('button', { name: 'Clear' }).click()
  await section.getByRole('button', { name: 'Side by side…' }).click()
  await expect(times.nth(0)).toHaveText('no route')
  await expect(times.nth(2)).toHaveClass('differs')
})

test('a plan of another site says why it has no figures here', async ({ colsight }) => {
  const { page } = colsight
  await colsight.toggle('Compare plans')
  const far = { ...plan, launch: { latDeg: 10, lonDeg: 20 } }
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Another plan…' }).click()
  await (
    await chooser
  ).setFiles({ name: 'elsewhere.geojson', mimeType: 'application/json', buffer: asFile(far) })
  await page.getByRole('button', { name: 'Side by side…' }).click()
  await expect(page.locator('.compare')).toContainText('is off the terrain')
  await page.keyboard.press('Escape')
  await expect(page.locator('.compare')).toHaveCount(0)
})
