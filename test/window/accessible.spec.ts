import { readFileSync } from 'node:fs'
import AxeBuilder from '@axe-core/playwright'
import type { Page } from 'playwright/test'
import { writePlan } from '../../core/plan/planFile'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { usualLogCsv } from '../support/madeLog'
import { DEMO_TERRAIN } from '../support/places'
import { flownPlan } from '../support/plans'
import { expect, test, type ColsightWindow } from './window'

/** WCAG 2.2, levels A and AA, as far as axe can judge them. */
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']

/**
 * What axe finds wrong with what is shown, in words. Frames are looked at by themselves: this one
 * runs no script, and axe is one.
 * @param within part of the page that is looked at
 */
async function violations(page: Page, within = 'body'): Promise<string[]> {
  const axe = new AxeBuilder({ page }).withTags(TAGS).include(within).setLegacyMode(true)
  const found = await axe.analyze()
  return found.violations.map(
    ({ id, nodes }) =>
      `${id}: ${nodes.map(({ target, failureSummary }) => `${target.join(' ')} (${failureSummary?.split('\n')[1]?.trim().slice(0, 130)})`).join(' | ')}`,
  )
}

const terrain = await readTerrainFile(DEMO_TERRAIN)
const plan = flownPlan(terrain)
const bytes = (text: string) => new TextEncoder().encode(text)

async function openAllSections({ page }: ColsightWindow): Promise<void> {
  await page.locator('.side').evaluate((side) => {
    for (const details of side.querySelectorAll('details')) details.open = true
  })
}

test('axe finds nothing on any part of the panel, the map and the charts', async ({ colsight }) => {
  const { page } = colsight
  expect(await violations(page)).toEqual([])
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await colsight.clickMap([0.55, 0.3])
  await openAllSections(colsight)
  await page.getByRole('button', { name: 'Find landing areas' }).click()
  await page.getByRole('button', { name: 'Cols in view' }).click()
  await expect(page.locator('.found-areas tbody tr').first()).toBeVisible()
  await expect(page.locator('.found-areas')).not.toContainText('…')
  await page.locator('.found-areas tbody th button').nth(1).click()
  await page.getByRole('button', { name: 'Take area 1 into the plan', exact: true }).click()
  expect(await violations(page)).toEqual([])
  for (const view of ['To the target', 'Along the route']) {
    await page.getByRole('button', { name: view }).click()
    for (const tab of await page.locator('.figures-tabs button').all()) {
      await tab.click()
      expect(await violations(page, '.figures'), view).toEqual([])
    }
  }
  for (const layer of ['Sight from', 'Fresnel from', 'Signal']) {
    await page.getByRole('button', { name: layer, exact: true }).click()
    expect(await violations(page, '.section:has(.layer-switch)'), layer).toEqual([])
  }
})

test('axe finds nothing on the sheets', async ({ colsight }) => {
  const { page } = colsight
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await colsight.drop(['flight.csv', bytes(usualLogCsv(terrain, plan))])
  await expect(page.locator('.log-flights')).toContainText('mAh')
  expect(await violations(page, 'dialog'), 'log').toEqual([])
  await page.getByRole('button', { name: 'Compare with the plan' }).click()
  await expect(page.locator('.flown-fit')).toContainText('Excess loss')
  await openAllSections(colsight)
  expect(await violations(page), 'as flown').toEqual([])
  await page.getByRole('button', { name: 'Charge', exact: true }).click()
  expect(await violations(page, '.bottom'), 'charge').toEqual([])

  await page.getByRole('button', { name: 'This one, as it is' }).click()
  await page.getByRole('button', { name: 'Side by side…' }).click()
  await expect(page.getByLabel('Figures of the plans')).toHaveAttribute('aria-busy', 'false')
  expect(await violations(page, 'dialog'), 'compare').toEqual([])
  await page.keyboard.press('Escape')

  await page.getByRole('button', { name: 'Make the brief…' }).click()
  await expect(page.locator('.brief-view')).toHaveAttribute('aria-busy', 'false')
  await expect(page.locator('.brief-view iframe')).toBeVisible()
  expect(await violations(page, 'dialog'), 'brief').toEqual([])
  // The frame of the brief would not let axe in.
  colsight.problems.length = 0
  // The document by itself, as the phone shows it.
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Save for the phone (HTML)…' }).click()
  const phone = await page.context().newPage()
  await phone.setViewportSize({ width: 390, height: 800 })
  const html = readFileSync(await (await download).path(), 'utf8')
  // Axe is a script, which the document's own policy would not let run.
  await phone.setContent(html.replace(/<meta http-equiv="Content-Security-Policy"[^>]*>/, ''))
  expect(await violations(phone), 'the document').toEqual([])
  await phone.close()
  await page.keyboard.press('Escape')

  await page.getByRole('button', { name: 'Where to get terrain' }).click()
  expect(await violations(page, 'dialog'), 'guide').toEqual([])
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Another part or cell…' }).click()
  await page.getByLabel('A window around a place').check()
  expect(await violations(page, 'dialog'), 'opening').toEqual([])
  await page.keyboard.press('Escape')
  await colsight.drop(['a.csv', bytes('name,lat,lon\nHut,41.2,166.3\nGap,41.21,166.31')])
  await expect(page.locator('.incoming')).toBeVisible()
  expect(await violations(page, 'dialog'), 'incoming').toEqual([])
})

test('dark follows the system, and axe finds nothing there either', async ({ colsight }) => {
  const { page } = colsight
  const paper = () =>
    page.locator('.side').evaluate((side) => getComputedStyle(side).backgroundColor)
  const light = await paper()
  await page.emulateMedia({ colorScheme: 'dark' })
  expect(await paper()).not.toBe(light)
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await openAllSections(colsight)
  expect(await violations(page)).toEqual([])
  await page.getByRole('button', { name: 'This one, as it is' }).click()
  await page.getByRole('button', { name: 'Side by side…' }).click()
  await expect(page.getByLabel('Figures of the plans')).toHaveAttribute('aria-busy', 'false')
  expect(await violations(page, 'dialog')).toEqual([])
})

test('a window of half the size, as at 200 % zoom, keeps everything in reach', async ({
  colsight,
}) => {
  const { page } = colsight
  await page.setViewportSize({ width: 720, height: 450 })
  await colsight.clickMap([0.5, 0.4])
  await openAllSections(colsight)
  // Nothing is wider than the window, and what is longer scrolls.
  expect(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth)).toBe(
    true,
  )
  for (const name of ['Open terrain…', 'Make the brief…', 'Bring in a log…']) {
    await page.getByRole('button', { name }).scrollIntoViewIfNeeded()
    await expect(page.getByRole('button', { name })).toBeInViewport()
  }
  expect(await violations(page)).toEqual([])
})
