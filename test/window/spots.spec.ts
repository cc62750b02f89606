import { expect, test } from './window'

test('launch spots for a route: heat, exact list, comparison, standing there', async ({
  colsight,
}) => {
  const { page } = colsight
  await colsight.toggle('Launch spots')
  const find = page.getByRole('button', { name: 'Find launch spots' })
  await find.click()
  await expect(page.locator('.caution-note')).toContainText('no target to see')
  await colsight.toggle('Route')
  await page.getByRole('button', { name: 'Draw on the map' }).click()
  await colsight.clickMap([0.55, 0.36], [0.6, 0.22])
  await page.getByRole('button', { name: 'Done' }).click()
  await page.getByLabel('Longest way on foot').fill('20')
  await page.keyboard.press('Enter')
  await find.click()
  await expect(page.locator('.heat-legend')).toBeVisible()
  await expect(page.locator('.spot-mark').first()).toBeAttached({ timeout: 30_000 })
  const rows = page.locator('.section', { hasText: 'Launch spots' }).locator('tbody tr')
  const shares = (await rows.locator('td:nth-of-type(1)').allTextContents()).map(Number.parseFloat)
  expect([...shares].sort((a, b) => b - a)).toEqual(shares)
  await rows.first().getByRole('button').first().click()
  await expect(page.locator('.selected-area')).toContainText(/Antenna 1\s*\d+°, tilt -?\d+°/)
  await page.getByRole('button', { name: 'Compare launch point' }).click()
  await page.getByRole('button', { name: 'Compare spot 1', exact: true }).click()
  await expect(page.getByRole('columnheader', { name: 'Spot 1' })).toBeVisible()
  const site = page
    .locator('.section', { hasText: 'Launch spots' })
    .getByRole('row', { name: /^Site at/ })
  await expect(site.locator('td')).toHaveText([/\d %$/, /\d %$/])
  const latitude = page.getByLabel('Latitude', { exact: true })
  const before = await latitude.inputValue()
  await page.getByRole('button', { name: 'Stand at spot 1', exact: true }).click()
  await expect(latitude).not.toHaveValue(before)
  await page.keyboard.press('Control+z')
  await expect(latitude).toHaveValue(before)
  await page.getByRole('button', { name: 'Forget' }).click()
  await expect(page.locator('.heat-legend')).toHaveCount(0)
})

test('nowhere to stand says which limit excludes most', async ({ colsight }) => {
  const { page } = colsight
  await colsight.toggle('Read a line')
  await page.getByRole('button', { name: 'Area', exact: true }).click()
  await colsight.clickMap([0.4, 0.3], [0.6, 0.3], [0.5, 0.5], [0.5, 0.5])
  await colsight.toggle('Launch spots')
  await page.getByRole('button', { name: 'Only inside…' }).click()
  await colsight.clickMap([0.02, 0.42], [0.1, 0.42], [0.1, 0.46], [0.1, 0.46])
  await page.getByRole('button', { name: 'Find launch spots' }).click()
  await expect(page.locator('.caution-note')).toContainText(
    /nowhere to stand left: most is excluded/,
  )
})
