import type { Page } from 'playwright/test'
import { expect, test, type ColsightWindow } from './window'

const section = (page: Page, title: string) => page.locator('.section', { hasText: title }).first()

/** Shades the map by signal and waits for its shares. */
async function showSignal(colsight: ColsightWindow, page: Page): Promise<void> {
  await page.getByRole('button', { name: 'Signal', exact: true }).click()
  await expect(page.locator('.legend-share').first()).toHaveText(/%/)
  await colsight.settledShares()
}

/** Margin of the video link that the pointer readout gives at a place of the map. */
async function readMargin(colsight: ColsightWindow, page: Page, x: number, y: number) {
  const at = await colsight.mapPoint(x, y)
  await page.mouse.move(at.x, at.y)
  await expect(page.locator('.readout')).toContainText('Margin, video / control')
  const text = await page.locator('.readout').textContent()
  return Number(/control\s*(-?\d+) \//.exec(text ?? '')?.[1])
}

test('the map shows the margin, and power repaints it at once', async ({ colsight, page }) => {
  await showSignal(colsight, page)
  const weak = await colsight.shares()
  expect(weak.length).toBe(3)
  expect(weak.reduce((sum, share) => sum + share, 0)).toBeCloseTo(100, 0)
  const before = await readMargin(colsight, page, 0.52, 0.42)
  await colsight.toggle('Video link')
  const video = section(page, 'Video link')
  await video.getByLabel('Power').first().fill('2000')
  await page.keyboard.press('Enter')
  await expect(video.getByLabel('Power').last()).toHaveValue('33')
  await expect(video).toContainText(/EIRP 34.7 dBm .* National limits apply/)
  await expect.poll(async () => (await colsight.shares())[0]).toBeGreaterThan(weak[0])
  // Ten times the power: ten decibels more.
  expect(Math.abs((await readMargin(colsight, page, 0.52, 0.42)) - before - 10)).toBeLessThan(1.1)
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect.poll(() => colsight.shares()).toEqual(weak)
})

test('video, control, or the weaker of both; classes, margin, or the best antenna', async ({
  colsight,
  page,
}) => {
  await showSignal(colsight, page)
  const links = page.getByRole('group', { name: 'Link shown' })
  const shares: number[] = []
  for (const name of ['Video', 'Control', 'Weaker of both']) {
    await links.getByText(name).click()
    shares.push((await colsight.shares())[2])
  }
  expect(shares[2]).toBeGreaterThanOrEqual(Math.max(shares[0], shares[1]))
  await page.getByRole('button', { name: 'Margin', exact: true }).click()
  await expect(page.locator('.height-legend li')).toHaveText([
    ...['-20', '-10', '0', '+10', '+20', '+30'],
  ])
  await links.getByText('Video').click()
  await page.getByRole('button', { name: 'Best antenna' }).click()
  await expect(page.locator('.legend li')).toHaveText(['Ground antenna 1', 'Ground antenna 2'])
  expect(await colsight.shadedPixels()).toBeGreaterThan(0.5)
})

test('the budget of a target adds up, and what would help does help', async ({
  colsight,
  page,
}) => {
  await colsight.clickMap([0.72, 0.2])
  await page.locator('.figures-tabs').getByText('Video').click()
  const verdict = page.locator('.figures .verdict')
  await expect(verdict).toContainText(/^Margin [+-][\d.]+ dB/)
  const rows = await page.locator('.budget tr').allTextContents()
  /** The first figure of a text, with its sign. */
  const figure = (text: string | null | undefined) =>
    Number(/[+-]?\d+(\.\d+)?/.exec(text ?? '')?.[0])
  const cells = await page.locator('.budget tr td:nth-child(2)').allTextContents()
  const figures = cells.map(figure)
  expect(rows[0]).toMatch(/^Transmitter/)
  // Power, gains and losses, then what is received and the sensitivity.
  const sum = figures.slice(0, -2).reduce((total, part) => total + part, 0)
  expect(Math.abs(sum - figures[figures.length - 2])).toBeLessThan(0.6)
  expect(figures[0]).toBeCloseTo(23, 1)

  const margin = async () => figure(await verdict.textContent())
  const before = await margin()
  await expect(page.locator('.help')).toContainText('dB more power or gain')
  const turn = page.locator('.help li', { hasText: 'ground antenna' })
  const promised = figure((await turn.textContent())!.split('margin')[1])
  await turn.getByRole('button', { name: 'do it' }).click()
  await expect.poll(margin).toBeGreaterThan(before)
  // The aim is kept in whole degrees.
  expect(Math.abs((await margin()) - promised)).toBeLessThan(0.3)
})

test('links are kept under the pilot’s own names, saved and opened; bad files are refused', async ({
  colsight,
  page,
}) => {
  await colsight.toggle('Video link')
  const video = section(page, 'Video link')
  await video.getByLabel('Power').first().fill('640')
  await page.keyboard.press('Enter')
  await page.getByLabel('Name of the video link').fill('My long ranger')
  await page.keyboard.press('Enter')
  await video.getByRole('button', { name: 'Keep' }).click()
  await video.getByLabel('Begin with').selectOption('Video 5.8 GHz, 25 mW (typical)')
  await expect(video.getByLabel('Power').first()).toHaveValue('25')
  await page.reload()
  await colsight.shaded()
  await colsight.toggle('Video link')
  await video.getByLabel('Begin with').selectOption('My long ranger')
  await expect(video.getByLabel('Power').first()).toHaveValue('640')

  const download = page.waitForEvent('download')
  await video.getByRole('button', { name: 'Save…' }).click()
  const saved = await (await download).path()
  await video.getByLabel('Begin with').selectOption('Video 5.8 GHz, 25 mW (typical)')
  const open = async (file: string | { name: string; mimeType: string; buffer: Buffer }) => {
    const chooser = page.waitForEvent('filechooser')
    await video.getByRole('button', { name: 'Open…' }).click()
    await (await chooser).setFiles(file)
  }
  await open(saved)
  await expect(video.getByLabel('Power').first()).toHaveValue('640')
  const buffer = Buffer.from('{"name": "x"}')
  await open({ name: 'bad.json', mimeType: 'application/json', buffer })
  await expect(page.getByRole('alert').first()).toContainText(
    '"bad.json" is no link that can be used',
  )
  await expect(video.getByLabel('Power').first()).toHaveValue('640')
  await video.getByRole('button', { name: 'Forget' }).click()
})

test('antennas are changed, impossible values refused, a helix out of its mode is said', async ({
  colsight,
  page,
}) => {
  await colsight.toggle('Video link')
  const video = section(page, 'Video link')
  await video.getByLabel('Power').first().fill('0')
  await page.keyboard.press('Enter')
  await expect(video.locator('.field-problem')).toContainText('from 0.1 to 100000 mW')
  await page.keyboard.press('Escape')
  await video.getByLabel('Antenna, ground antenna 1').selectOption('beam')
  await video.getByLabel('Gain').fill('300')
  await page.keyboard.press('Enter')
  await expect(video.locator('.field-problem')).toContainText('from -10 to 40 dBi')
  await page.keyboard.press('Escape')
  await video.getByLabel('Antenna, ground antenna 1').selectOption('helix')
  await video.getByLabel('Circumference').fill('20')
  await page.keyboard.press('Enter')
  await expect(video.locator('.caution-note')).toContainText('is not in axial mode')
})

test('an own transmitter too close is said, and how far is enough', async ({ colsight, page }) => {
  await colsight.toggle('Own transmitter')
  const nearby = section(page, 'Own transmitter')
  await nearby.getByLabel('Distance between antennas').fill('0.2')
  await page.keyboard.press('Enter')
  await expect(nearby.locator('.caution-note')).toContainText('move them apart')
  await colsight.clickMap([0.6, 0.4])
  await page.locator('.figures-tabs').getByText('Video').click()
  await expect(page.locator('.figures .caution-note')).toContainText('stands too close')
  await nearby.getByLabel('Distance between antennas').fill('5')
  await page.keyboard.press('Enter')
  await expect(page.locator('.caution-note')).toHaveCount(0)
})
