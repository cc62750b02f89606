import { readFileSync } from 'node:fs'
import { readPlan } from '../../core/plan/planFile'
import { expect, test, type ColsightWindow } from './window'

/** Finds landing areas and waits for their pictures and ways. */
async function find(colsight: ColsightWindow): Promise<void> {
  const { page } = colsight
  await colsight.toggle('Landing areas')
  await page.getByRole('button', { name: 'Find landing areas' }).click()
  await expect(page.locator('.found-areas tbody tr').first()).toBeVisible()
  await expect(page.locator('.found-areas')).not.toContainText('…')
}

test('areas are found, looked at with their way on foot, and taken into the plan', async ({
  colsight,
}) => {
  const { page } = colsight
  await find(colsight)
  const rows = page.locator('.found-areas tbody tr')
  const pictures = (await rows.locator('th').allTextContents()).map(Number.parseFloat)
  expect([...pictures].sort((a, b) => b - a)).toEqual(pictures)
  await page.getByRole('button', { name: 'Walk' }).click()
  await rows.nth(3).getByRole('button').first().click()
  const looked = page.locator('.selected-area')
  await expect(looked).toContainText(/sight \d+\.\d %, Fresnel \d+\.\d %, margin \d+\.\d %/)
  await expect(looked).toContainText(/\d+ min, \d.* up/)
  await expect(page.locator('.way-profile')).toBeVisible()
  await page.getByLabel('There is snow').check()
  await expect(looked).toContainText(/local bulletin/)
  await looked.getByRole('button', { name: 'Take into the plan' }).click()
  const accepted = page.getByRole('list', { name: 'Landing areas in the plan' })
  await expect(accepted.getByRole('listitem')).toHaveCount(1)
  await page.getByLabel('Name of landing area 1').fill('Meadow')
  await page.getByLabel('Name of landing area 1').press('Enter')
  await page.getByLabel('Note on Meadow').fill('wet in spring')
  await page.getByLabel('Note on Meadow').press('Enter')
  await accepted.getByLabel('home').check()
  await expect(page.locator('.landing-mark')).toHaveText('Meadow (home)')

  await colsight.toggle('Plan file')
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Save plan…' }).click()
  const text = readFileSync(await (await download).path(), 'utf8')
  const [area] = readPlan(text, 'plan').plan.landing.accepted
  expect(area).toMatchObject({ name: 'Meadow', note: 'wet in spring', isHome: true })
})

test('areas keep their order under the hand, and are sorted anew when it leaves', async ({
  colsight,
}) => {
  const { page } = colsight
  await find(colsight)
  const table = page.locator('.found-areas')
  const sizes = () => table.locator('tbody td:nth-child(3)').allTextContents()
  const pictures = async () =>
    (await table.locator('tbody th').allTextContents()).map(Number.parseFloat)
  const others = async (before: readonly number[]) => {
    await expect
      .poll(async () => {
        const now = await pictures()
        return !now.some(Number.isNaN) && String(now) !== String(before)
      })
      .toBe(true)
    return pictures()
  }
  const isSorted = (shares: readonly number[]) =>
    shares.every((share, i) => i === 0 || share <= shares[i - 1])
  const latitude = page.getByLabel('Latitude', { exact: true })
  const before = await latitude.inputValue()
  const first = await pictures()
  await latitude.fill('41.19')
  await page.keyboard.press('Enter')
  const moved = await others(first)
  expect(isSorted(moved)).toBe(true)
  await table.locator('tbody tr').nth(2).hover()
  const held = await sizes()
  // Undone from the keyboard, the hand on the table: the pictures from there are others.
  await latitude.blur()
  await page.keyboard.press('ControlOrMeta+z')
  await expect(latitude).toHaveValue(before)
  expect(isSorted(await others(moved))).toBe(false)
  expect(await sizes()).toEqual(held)
  await page.locator('.map').hover()
  await expect.poll(async () => isSorted(await pictures())).toBe(true)
  // The same under the keyboard.
  await page.getByRole('button', { name: 'Take area 3 into the plan', exact: true }).focus()
  const [keyed, undone] = [await sizes(), await pictures()]
  await page.keyboard.press('ControlOrMeta+Shift+z')
  expect(isSorted(await others(undone))).toBe(false)
  expect(await sizes()).toEqual(keyed)
  await latitude.focus()
  await expect.poll(async () => isSorted(await pictures())).toBe(true)
})

test('with the keyboard areas are rejected one after the other, and taken once', async ({
  colsight,
}) => {
  const { page } = colsight
  await find(colsight)
  const button = (name: string) => page.getByRole('button', { name, exact: true })
  const sizes = () => page.locator('.found-areas tbody td:nth-child(3)').allTextContents()
  const before = await sizes()
  await button('Reject area 1').focus()
  for (let times = 0; times < 2; times++) {
    await page.keyboard.press('Enter')
    await expect(button('Reject area 1')).toBeFocused()
  }
  await expect.poll(async () => (await sizes()).slice(0, 5)).toEqual(before.slice(2, 7))
  await button('Take area 2 into the plan').focus()
  await page.keyboard.press('Enter')
  await expect(button('Take area 2 into the plan')).toBeDisabled()
  await expect(button('Take area 2 into the plan')).toBeFocused()
  await page.keyboard.press('Enter')
  await expect(page.locator('.landing-mark')).toHaveCount(1)
})

test('rejected areas stay away, own ones are drawn, ground is kept out', async ({ colsight }) => {
  const { page } = colsight
  await find(colsight)
  const total = async () => {
    const words = await page.locator('.section-note', { hasText: /areas\./ }).textContent()
    return Number((words ?? '').replace(/,/g, '').match(/(\d+) areas/)?.[1])
  }
  const before = await total()
  await page.getByRole('button', { name: 'Reject area 1', exact: true }).click()
  await expect.poll(total).toBe(before - 1)
  await page.getByRole('button', { name: 'Show the 1 rejected' }).click()
  await expect.poll(total).toBe(before)
  await page.getByRole('button', { name: 'Draw one…' }).click()
  await colsight.clickMap([0.5, 0.5], [0.53, 0.5], [0.53, 0.54], [0.5, 0.54], [0.5, 0.54])
  await expect(page.locator('.landing-mark')).toHaveText('Landing 1')
  await page.getByRole('button', { name: 'Keep out of…' }).click()
  await colsight.clickMap([0.2, 0.2], [0.8, 0.2], [0.8, 0.8], [0.2, 0.8], [0.2, 0.8])
  await expect.poll(total).toBeLessThan(before - 10)
})

test('contradictory limits say which one excludes most', async ({ colsight }) => {
  const { page } = colsight
  await find(colsight)
  await page.getByLabel('Smallest size').fill('1000000')
  await page.keyboard.press('Enter')
  await expect(page.locator('.caution-note').first()).toContainText('nowhere 1000000 m² large')
  await page.getByLabel('Smallest size').fill('2500')
  await page.keyboard.press('Enter')
  await expect(page.locator('.found-areas tbody tr').first()).toBeVisible()
})

test('a road head changes the ways', async ({ colsight }) => {
  const { page } = colsight
  await find(colsight)
  const walks = async () =>
    (await page.locator('.found-areas tbody td:nth-of-type(1)').allTextContents()).join()
  const before = await walks()
  await page.getByRole('button', { name: 'Road head…' }).click()
  await colsight.clickMap([0.55, 0.75])
  await expect.poll(walks).not.toBe(before)
})

test('stretches without a landing area in reach are marked along the route', async ({
  colsight,
}) => {
  const { page } = colsight
  await find(colsight)
  await page.getByRole('button', { name: 'Take area 1 into the plan', exact: true }).click()
  await expect(page.locator('.landing-mark')).toHaveCount(1)
  await page.getByRole('button', { name: 'Hide those found' }).click()
  await colsight.toggle('Route')
  await page.getByRole('button', { name: 'Draw on the map' }).click()
  await colsight.clickMap([0.52, 0.42], [0.7, 0.2], [0.95, 0.1], [0.6, 0.05])
  await page.getByRole('button', { name: 'Done' }).click()
  await page.getByRole('button', { name: /^Conflicts/ }).click()
  const found = page.getByRole('list', { name: 'Conflicts' })
  await expect(found).toContainText('No landing area in reach')
  await page.getByRole('button', { name: 'Moment' }).click()
  await page.getByLabel('Along the route', { exact: true }).fill('20')
  await expect(page.locator('.figures .facts')).toContainText(/Landing 1, .* at \d+°/)
})

test('valleys tell how forgiving they are', async ({ colsight }) => {
  const { page } = colsight
  await colsight.toggle('Safe valleys')
  await page.getByRole('button', { name: 'Show valleys' }).click()
  const rows = page.locator('.section', { hasText: 'Safe valleys' }).locator('tbody tr')
  await expect(rows.nth(5)).toBeVisible()
  await expect(rows.first()).toContainText(/km².*%.*%.*\d+ of \d+/)
  const before = await rows.count()
  await rows.nth(2).getByRole('button').click()
  await page.getByLabel('A valley begins at').fill('15')
  await page.keyboard.press('Enter')
  await expect.poll(() => rows.count()).toBeLessThan(before)
  await expect(page.locator('.valley-mark span').first()).toBeVisible()
})
