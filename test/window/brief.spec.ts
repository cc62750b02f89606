import { readFileSync } from 'node:fs'
import type { Page } from 'playwright/test'
import { readPlan } from '../../core/plan/planFile'
import { HAS_PDF_TEXT, pdfPages, pdfPaperMm } from '../support/pdfText'
import { expect, test, type ColsightWindow } from './window'

/** A plan with everything a brief shows: target, route home, two landing areas, wind. */
async function plan(colsight: ColsightWindow): Promise<void> {
  const { page } = colsight
  await colsight.clickMap([0.55, 0.3])
  await colsight.toggle('Route')
  await page.getByRole('button', { name: 'Draw on the map' }).click()
  await colsight.clickMap([0.52, 0.42], [0.58, 0.5])
  await page.getByRole('button', { name: 'Done' }).click()
  await page.getByRole('button', { name: 'Out and back' }).click()
  await colsight.toggle('Wind')
  await page.getByLabel('Speed', { exact: true }).fill('15')
  await page.keyboard.press('Enter')
  await colsight.toggle('Landing areas')
  await page.getByRole('button', { name: 'Find landing areas' }).click()
  await expect(page.locator('.found-areas tbody tr').first()).toBeVisible()
  await expect(page.locator('.found-areas')).not.toContainText('…')
  for (const row of [0, 1]) {
    await page.locator('.found-areas tbody tr').nth(row).getByRole('button').first().click()
    await expect(page.locator('.selected-area')).toContainText(/ up/)
    await page.locator('.selected-area').getByRole('button', { name: 'Take into the plan' }).click()
  }
  await page.getByRole('button', { name: 'Battery', exact: true }).click()
  await expect(page.locator('.figures')).not.toContainText('…')
}

/** Opens the brief and waits until it is there. */
async function open(page: Page): Promise<void> {
  await page.locator('.section > summary', { hasText: 'Field brief' }).click()
  await page.getByRole('button', { name: 'Make the brief…' }).click()
  await made(page)
}

async function made(page: Page): Promise<void> {
  await expect(page.locator('.brief-view iframe')).toBeVisible({ timeout: 20_000 })
  await expect(page.locator('.brief-view')).toHaveAttribute('aria-busy', 'false')
}

/** The brief as the file for the phone. */
async function saved(page: Page): Promise<string> {
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Save for the phone (HTML)…' }).click()
  return readFileSync(await (await download).path(), 'utf8')
}

/** The file as a browser prints it, without any network. */
async function printed(page: Page, html: string): Promise<Buffer> {
  const other = await page.context().newPage()
  const asked: string[] = []
  other.on('request', (request) => {
    if (!request.url().startsWith('data:')) asked.push(request.url())
  })
  await other.setContent(html)
  const pdf = await other.pdf({ preferCSSPageSize: true, printBackground: true })
  await other.close()
  expect(asked).toEqual([])
  return pdf
}

/** Texts of elements, white space as one space. */
async function texts(page: Page, selector: string): Promise<string[]> {
  const all = await page.locator(selector).allInnerTexts()
  return all.map((text) => text.replace(/\s+/g, ' ').trim())
}

test('the brief says every figure of the screen, on A4 and Letter', async ({ colsight }) => {
  test.skip(!HAS_PDF_TEXT, 'skipped: no pdftotext')
  const { page } = colsight
  await plan(colsight)
  const figures: string[] = [
    ...(await texts(page, '.figures .verdict')),
    ...(await texts(page, '.figures .facts dd')).flatMap((text) => text.split(', ')),
    ...(await texts(page, '.legs tbody td')),
  ]
  // Distances, times, charges and shares of four legs, and where to turn.
  expect(figures.length).toBeGreaterThan(18)
  await page.getByRole('button', { name: /^Conflicts/ }).click()
  const conflicts = await texts(page, '.troubles-list li')
  for (const conflict of conflicts) {
    figures.push(...(conflict.match(/\d[\d.,]* (?:km|m|dB)\b/g) ?? []))
  }
  await page.getByRole('button', { name: 'To the target' }).click()
  for (const link of ['Video', 'Control']) {
    await page.locator('.figures-tabs').getByRole('button', { name: link }).click()
    figures.push(...(await texts(page, '.budget td:nth-of-type(1)')))
    figures.push(
      ...((await texts(page, '.figures .verdict'))[0].match(/[+-][\d.]+ dB/g) ?? ['no margin']),
    )
  }
  const areas = await texts(page, '.waypoints[aria-label="Landing areas in the plan"] li p')
  expect(areas).toHaveLength(2)
  for (const area of areas) figures.push(...area.replace('; look there', '').split(', '))

  await open(page)
  const html = await saved(page)
  const pdf = await printed(page, html)
  const pages = pdfPages(pdf)
  expect(pages.length).toBeGreaterThan(2)
  expect(pages.length).toBeLessThan(8)
  const text = pages.join(' ')
  for (const figure of figures) expect(text, figure).toContain(figure)
  expect(text).toContain('Terrain models miss trees, wires and buildings')
  expect(text).toContain('Weather, wind aloft and daylight fit this plan')
  const [width, height] = pdfPaperMm(pdf)
  expect([Math.round(width), Math.round(height)]).toEqual([210, 297])

  await page.getByLabel('Paper').selectOption('letter')
  await made(page)
  const letter = pdfPaperMm(await printed(page, await saved(page)))
  expect(letter.map(Math.round)).toEqual([216, 279])
})

test('heading, checklist and notes are the pilot’s, and go with the plan', async ({ colsight }) => {
  const { page } = colsight
  await open(page)
  await page.getByLabel('Heading').fill('Over <b>the</b> shoulder')
  await page.getByLabel('Before the flight').fill('Boots on\n\n  Phone full  \n')
  await page.getByLabel('Notes').fill('Key at the hut <script>alert(1)</script>')
  await page.getByLabel('Notes').blur()
  await made(page)
  const html = await saved(page)
  const brief = page.frameLocator('.brief-view iframe')
  await expect(brief.locator('h1')).toHaveText('Over <b>the</b> shoulder')
  await expect(brief.locator('.checks li')).toHaveText(['Boots on', 'Phone full'])
  await expect(brief.locator('.notes')).toContainText('Key at the hut <script>alert(1)</script>')
  // Nothing of what the pilot wrote is markup, and the file fetches nothing.
  expect(html).not.toContain('<script')
  expect(html).toContain("default-src 'none'")
  // Without a route there are no legs, and the brief says that landing areas are missing.
  await expect(brief.locator('h2')).not.toContainText(['Legs'])
  await expect(brief.locator('body')).toContainText('The plan has none: choose some')
  await page.getByRole('button', { name: 'the usual list again' }).click()
  await expect(brief.locator('.checks li')).toHaveCount(12)
  await page.getByRole('button', { name: 'Close' }).click()
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.locator('.section > summary', { hasText: 'Plan file' }).click()
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Save plan…' }).click()
  const text = readFileSync(await (await download).path(), 'utf8')
  expect(readPlan(text, 'plan').plan.brief).toEqual({
    title: 'Over <b>the</b> shoulder',
    checklist: ['Boots on', 'Phone full'],
    notes: 'Key at the hut <script>alert(1)</script>',
  })
})

test('printing prints the brief, and only that', async ({ colsight }) => {
  const { page } = colsight
  await open(page)
  await page.locator('.brief-view iframe').evaluate((frame: HTMLIFrameElement) => {
    const inner = frame.contentWindow as Window & { printed?: number }
    inner.print = () => (inner.printed = (inner.printed ?? 0) + 1)
  })
  await page.getByRole('button', { name: 'Print or PDF…' }).click()
  const count = await page
    .locator('.brief-view iframe')
    .evaluate((frame: HTMLIFrameElement) => (frame.contentWindow as { printed?: number }).printed)
  expect(count).toBe(1)
  await page.keyboard.press('Escape')
  await expect(page.locator('.sheet-brief')).toHaveCount(0)
})
