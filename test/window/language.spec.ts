import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright/test'
import { writePlan } from '../../core/plan/planFile'
import { projectFolder } from '../../electron/node/paths'
import { readTerrainFile } from '../../electron/node/terrainFile'
import de from '../../core/words/texts/de.json' with { type: 'json' }
import en from '../../core/words/texts/en.json' with { type: 'json' }
import { usualLogCsv } from '../support/madeLog'
import { DEMO_TERRAIN } from '../support/places'
import { flownPlan } from '../support/plans'
import { expect, test } from './window'

type Key = keyof typeof en

const terrain = await readTerrainFile(DEMO_TERRAIN)
const plan = flownPlan(terrain)
const bytes = (text: string) => new TextEncoder().encode(text)

/** Words that stand in no German text. */
const ENGLISH =
  /\b(the|of|and|with|from|above|below|are|not|for|by|to|no|or|its|has|takes?|each)\b/i
/** A source keeps its title. */
const JOURNAL = 'Photogrammetric Engineering and Remote Sensing'
/** Texts that are the same in both, or that stand for a name. */
const SAME = new Set(
  (Object.keys(en) as Key[]).filter((key) => en[key] === de[key]).map((key) => en[key]),
)
const ENGLISH_ONLY = new Set(
  (Object.keys(en) as Key[])
    .filter((key) => en[key] !== de[key] && !en[key].includes('{'))
    .map((key) => en[key].trim())
    .filter((text) => !Object.values(de).includes(text)),
)

/** All that can be read or heard, once each: texts, and what labels and titles say. */
async function texts(page: Page): Promise<string[]> {
  const found = await page.evaluate(() => {
    const texts: string[] = []
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT)
    while (walker.nextNode()) {
      const parent = walker.currentNode.parentElement
      if (!parent?.closest('script, style, pre')) texts.push(walker.currentNode.textContent ?? '')
    }
    for (const element of document.body.querySelectorAll('*')) {
      for (const name of ['title', 'aria-label', 'placeholder', 'alt']) {
        texts.push(element.getAttribute(name) ?? '')
      }
    }
    return texts
  })
  return [...new Set(found.map((text) => text.replace(/\s+/g, ' ').trim()))]
}

/** Names of texts that came through unsaid. */
const KEYS = new Set<string>(Object.keys(en))
const isUnsaid = (text: string) => text.split(/[\s,:()]+/).some((word) => KEYS.has(word))

async function leftovers(page: Page): Promise<string[]> {
  return (await texts(page)).filter(
    (text) =>
      !SAME.has(text) &&
      (ENGLISH.test(text.replace(JOURNAL, '')) || ENGLISH_ONLY.has(text) || isUnsaid(text)),
  )
}

/** Chooses German; what is given finds a button by the name of its text. */
async function inGerman(page: Page) {
  await page.locator('.section > summary', { hasText: en['program.thisProgram'] }).click()
  await page.getByLabel(en['program.language']).selectOption('de')
  return (key: Key) => page.getByRole('button', { name: de[key], exact: true })
}

test('in German nothing is left in English, and numbers are written as there', async ({
  colsight,
}) => {
  const { page } = colsight
  const button = await inGerman(page)
  await expect(page.locator('html')).toHaveAttribute('lang', 'de')
  expect.soft(await leftovers(page)).toEqual([])
  await expect(page.locator('.legend-share').first()).toContainText(/\d,\d %/)
  // Names in files are the pilot's own: here they are those of the test.
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await page.locator('.side').evaluate((side) => {
    for (const details of side.querySelectorAll('details')) details.open = true
  })
  await button('landing.findLandingAreas').click()
  await button('cols.colsView').click()
  await button('valleys.showValleys').click()
  await button('spots.findLaunchSpots').click()
  await expect(page.locator('.found-areas tbody tr').first()).toBeVisible()
  await expect(page.locator('.found-areas').first()).not.toContainText('…')
  await page.locator('.found-areas tbody th button').nth(1).click()
  await expect(page.locator('.heat-legend')).toBeVisible({ timeout: 60_000 })
  await expect(page.locator('.heat-legend')).toBeVisible()
  expect.soft(await leftovers(page)).toEqual([])
  for (const tab of await page.locator('.figures-tabs button').all()) {
    await tab.click()
    expect.soft(await leftovers(page)).toEqual([])
  }
  await colsight.clickMap([0.55, 0.3])
  await button('bottom.target').click()
  await page.locator('.figures-tabs button').nth(1).click()
  await expect(page.locator('.budget')).toContainText(/Bodenantenne [12]/)
  for (const tab of await page.locator('.figures-tabs button').all()) {
    await tab.click()
    expect.soft(await leftovers(page)).toEqual([])
  }
  for (const layer of ['coverage.sight', 'coverage.fresnel', 'common.signal'] as const) {
    await button(layer).click()
    expect.soft(await leftovers(page)).toEqual([])
  }
  // A number is typed as it is shown, and refused in words.
  const field = page.getByLabel(de['radio.kFactor'])
  await expect(field).toHaveValue('1,333')
  await field.fill('1,5')
  await page.keyboard.press('Enter')
  await expect(field).toHaveValue('1,5')
  await field.fill('viel')
  await page.keyboard.press('Enter')
  expect.soft(await leftovers(page)).toEqual([])
  await page.keyboard.press('Escape')
  // Help opens where the keyboard is.
  await field.press('F1')
  await expect(page.getByRole('heading', { name: de['radio.radioPath'] }).last()).toBeFocused()
  expect.soft(await leftovers(page)).toEqual([])
  await page.keyboard.press('Escape')
})

test('sheets, workers and the field brief speak the language chosen, also after a reload', async ({
  colsight,
}) => {
  const { page } = colsight
  const button = await inGerman(page)
  await page.waitForTimeout(800)
  await page.reload()
  await colsight.shaded()
  await expect(page.locator('html')).toHaveAttribute('lang', 'de')
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  // A refusal that a worker made.
  await colsight.drop(['broken.csv', bytes('a,b\n1,2\n')])
  await expect(page.getByRole('alert').first()).toContainText('Spalten')
  expect.soft(await leftovers(page)).toEqual([])
  await colsight.drop(['flight.csv', bytes(usualLogCsv(terrain, plan))])
  await expect(page.locator('.log-flights')).toContainText('mAh')
  expect.soft(await leftovers(page)).toEqual([])
  await button('log.comparePlan').click()
  await expect(page.locator('.figures')).toContainText(de['flown.levels'])
  for (const tab of await page.locator('.figures-tabs button').all()) {
    await tab.click()
    expect.soft(await leftovers(page)).toEqual([])
  }
  await page.locator('.side').evaluate((side) => {
    for (const details of side.querySelectorAll('details')) details.open = true
  })
  await button('brief.makeBrief').click()
  const brief = page.frameLocator('.brief-view iframe')
  await expect(brief.locator('html')).toHaveAttribute('lang', 'de')
  const words = await brief.locator('body').innerText()
  const lines = words.split('\n').map((line) => line.trim())
  expect(lines.filter((line) => ENGLISH.test(line))).toEqual([])
  expect(lines.filter((line) => ENGLISH_ONLY.has(line) || isUnsaid(line))).toEqual([])
  await page.keyboard.press('Escape')
  // What comes in: another program's file, and terrain.
  await colsight.drop([
    'in.gpx',
    bytes(
      '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1"><rte><name>R</name><rtept lat="41.2" lon="166.33"/><rtept lat="41.22" lon="166.34"/></rte><wpt lat="41.21" lon="166.33"><name>P</name></wpt></gpx>',
    ),
  ])
  await expect(page.locator('dialog')).toContainText('R')
  expect.soft(await leftovers(page)).toEqual([])
  await page.keyboard.press('Escape')
  await colsight.drop(
    ...['base', 'lerc-zstd', 'south-up'].map(
      (name) =>
        [`${name}.tif`, readFileSync(join(projectFolder, `test/fixtures/${name}.tif`))] as const,
    ),
  )
  await page.locator('.file-name').first().click()
  expect.soft(await leftovers(page)).toEqual([])
  await page.keyboard.press('Escape')
  await button('program.about').click()
  await expect(page.locator('.licence').first()).toBeVisible()
  await page.locator('.licence summary', { hasText: 'leaflet' }).click()
  await expect(page.locator('.licence[open] pre')).toContainText('Redistribution')
  await page.keyboard.press('Escape')
})
