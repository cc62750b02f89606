import { readFileSync } from 'node:fs'
import { readPlan } from '../../core/plan/planFile'
import { expect, test, type ColsightWindow } from './window'

/** Draws a route over places of the map and waits for its exact corridor. */
async function draw(
  colsight: ColsightWindow,
  ...places: readonly (readonly [number, number])[]
): Promise<void> {
  const { page } = colsight
  await colsight.toggle('Route')
  await page.getByRole('button', { name: 'Draw on the map' }).click()
  await colsight.clickMap(...places)
  await page.getByRole('button', { name: 'Done' }).click()
  await expect(page.getByRole('list', { name: 'Waypoints' }).getByRole('listitem')).toHaveCount(
    places.length,
  )
  await exact(colsight)
}

/** Waits until corridor and turning points are worked out. */
async function exact({ page }: ColsightWindow): Promise<void> {
  await page.getByRole('button', { name: 'Battery', exact: true }).click()
  await expect(page.locator('.figures')).not.toContainText('…')
  await expect(page.getByRole('button', { name: 'Lift to the floor' })).toBeEnabled()
}

const SHORT = [
  [0.52, 0.42],
  [0.58, 0.5],
] as const
const FAR = [
  [0.52, 0.36],
  [0.62, 0.28],
  [0.75, 0.3],
] as const

test('a route drawn on the map has legs, corridor and battery', async ({ colsight }) => {
  const { page } = colsight
  await draw(colsight, ...SHORT)
  const legs = page.locator('.legs tbody tr')
  await expect(legs).toHaveCount(2)
  await expect(legs.first()).toContainText('Waypoint 1')
  await page.getByRole('button', { name: 'Out and back' }).click()
  await expect(legs).toHaveCount(4)
  await expect(legs.last()).toContainText('Launch')
  await expect(page.locator('.verdict')).toHaveText(/^Home with \d+\.\d % left$/)
  await expect(page.locator('.figures .facts')).toContainText('home in reach all the way')
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect(legs).toHaveCount(2)
  await page.getByRole('button', { name: 'Loop' }).click()
  await expect(legs).toHaveCount(3)
  await page.getByRole('button', { name: 'Clear' }).click()
  await expect(page.getByText('The flight begins over the launch point')).toBeVisible()
})

test('one waypoint is a route', async ({ colsight }) => {
  await draw(colsight, [0.53, 0.4])
  await expect(colsight.page.locator('.legs tbody tr')).toHaveCount(1)
})

test('the table edits by keyboard what the map shows', async ({ colsight }) => {
  const { page } = colsight
  await draw(colsight, ...FAR)
  const height = page.getByLabel('Height of Waypoint 2', { exact: true })
  await height.fill('95')
  await height.press('Enter')
  await page.getByLabel('Height of Waypoint 2 is over').selectOption('sea')
  const amsl = Number(await height.inputValue())
  expect(amsl).toBeGreaterThan(200)
  await page.getByLabel('Height of Waypoint 2 is over').selectOption('ground')
  await expect(height).toHaveValue('95')
  await page.getByLabel('Name of waypoint 3').fill('Trough')
  await page.getByLabel('Name of waypoint 3').press('Enter')
  await page.getByRole('button', { name: 'Trough earlier' }).click()
  await expect(page.getByLabel('Name of waypoint 2')).toHaveValue('Trough')
  await expect(page.locator('.legs tbody tr').nth(1)).toContainText('Trough')
  await page.getByRole('button', { name: 'Put a waypoint after Trough' }).click()
  await expect(page.locator('.legs tbody tr')).toHaveCount(4)
  await page.getByRole('button', { name: 'Remove Trough' }).click()
  await expect(page.locator('.legs tbody tr')).toHaveCount(3)
})

test('waypoints and legs are dragged on the map', async ({ colsight }) => {
  const { page } = colsight
  await draw(colsight, ...FAR)
  const position = async () => {
    const row = page.getByRole('list', { name: 'Waypoints' }).getByRole('listitem').nth(1)
    const details = row.locator('details')
    if (!(await details.evaluate((it) => (it as HTMLDetailsElement).open))) {
      await row.getByText('Position').click()
    }
    return row.getByLabel(/latitude/).inputValue()
  }
  const before = await position()
  const drag = async (selector: string, index: number) => {
    const box = await page.locator(selector).nth(index).boundingBox()
    if (!box) throw new Error(`no ${selector}`)
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
    await page.mouse.down()
    await page.mouse.move(box.x + 30, box.y + 45, { steps: 6 })
    await page.mouse.up()
  }
  await drag('.waypoint span', 1)
  expect(Number(await position())).toBeLessThan(Number(before))
  await page.keyboard.press('Control+z')
  expect(await position()).toBe(before)
  await drag('.leg-handle', 1)
  await expect(page.locator('.waypoint')).toHaveCount(4)
  await page.keyboard.press('Control+z')
  await expect(page.locator('.waypoint')).toHaveCount(3)
  await page.locator('.waypoint span').nth(2).click({ button: 'right' })
  await expect(page.locator('.waypoint')).toHaveCount(2)
})

test('conflicts are listed, each a click away; lifting mends what the ceiling allows', async ({
  colsight,
}) => {
  const { page } = colsight
  await draw(colsight, [0.52, 0.42], [0.62, 0.28])
  const height = page.getByLabel('Height of Waypoint 1', { exact: true })
  await height.fill('5')
  await height.press('Enter')
  await exact(colsight)
  await page.getByRole('button', { name: /^Conflicts/ }).click()
  const found = page.getByRole('list', { name: 'Conflicts' }).getByRole('button')
  await expect(found.filter({ hasText: 'Too close to ground' }).first()).toBeVisible()
  await expect(
    found.filter({ hasText: 'No height between floor and ceiling' }).first(),
  ).toBeVisible()
  await found.first().click()
  await expect(page.locator('.marker-cursor')).toHaveCount(1)
  await page.getByRole('button', { name: 'Lift to the floor' }).click()
  await exact(colsight)
  await page.getByRole('button', { name: /^Conflicts/ }).click()
  await expect(found.filter({ hasText: 'Too close to ground' })).toHaveCount(0)
  await expect(
    found.filter({ hasText: 'No height between floor and ceiling' }).first(),
  ).toBeVisible()
})

test('flies along the route', async ({ colsight }) => {
  const { page } = colsight
  await draw(colsight, ...SHORT)
  await page.getByRole('button', { name: 'Moment' }).click()
  const slider = page.getByLabel('Along the route', { exact: true })
  await slider.fill('12')
  await expect(page.locator('.figures .facts')).toContainText('AGL')
  await expect(page.locator('.figures .facts')).toContainText(/video -?\d+ dB, control -?\d+ dB/)
  const at = Number(await slider.inputValue())
  await page.getByRole('button', { name: 'Fly', exact: true }).click()
  await expect.poll(async () => Number(await slider.inputValue())).toBeGreaterThan(at + 5)
  await page.getByRole('button', { name: 'Pause' }).click()
  await page.getByRole('slider', { name: 'Place along the route' }).press('Home')
  await expect(slider).toHaveValue('0')
})

test('wind, cold and reserve move the turning point home; too much wind is said', async ({
  colsight,
}) => {
  const { page } = colsight
  await draw(colsight, [0.52, 0.36], [0.62, 0.28], [0.75, 0.3], [0.8, 0.45])
  const turn = async () => {
    await exact(colsight)
    const words = await page.locator('.facts dd').nth(1).textContent()
    return Number.parseFloat((words ?? '').replace(/,/g, ''))
  }
  const still = await turn()
  expect(still).toBeGreaterThan(500)
  await colsight.toggle('Battery')
  await page.getByLabel('Temperature of the pack').fill('-5')
  await page.keyboard.press('Enter')
  await expect.poll(turn).toBeLessThan(still)
  await colsight.toggle('Wind')
  const speed = page.getByLabel('Speed', { exact: true })
  await speed.fill('200')
  await speed.press('Enter')
  await expect(page.locator('.figures')).toContainText(/wind is stronger than the aircraft/i)
  // Other figures stay.
  await expect(page.locator('.troubles rect').first()).toBeVisible()
  await expect(page.locator('.legs tbody tr')).toHaveCount(4)
  await speed.fill('0')
  await speed.press('Enter')
  await page.getByLabel('Show how far it gets there and back').check()
  await expect(
    page.locator('path.leaflet-interactive, .leaflet-overlay-pane path[stroke="#0b6b3a"]').first(),
  ).toBeVisible()
})

test('cols in view and along a ridge become waypoints', async ({ colsight }) => {
  const { page } = colsight
  await colsight.toggle('Ridge crossings')
  await page.getByRole('button', { name: 'Cols in view' }).click()
  const rows = page.locator('table.cols:not(.places) tbody tr')
  await expect(rows.nth(5)).toBeVisible()
  const clear = async () =>
    (await rows.locator('td:nth-of-type(2)').allTextContents()).map((text) =>
      Number.parseFloat(text.replace(/,/g, '')),
    )
  const heights = await clear()
  expect([...heights].sort((a, b) => a - b)).toEqual(heights)
  // On the map those beyond the ceiling of 120 m are quiet.
  await expect(page.locator('.col-quiet')).toHaveCount(heights.filter((m) => m > 120).length)
  await expect(page.locator('.col-quiet span:visible')).toHaveCount(0)
  await expect(page.locator('.col-mark span:visible').first()).toHaveText(/ m$/)
  await page.getByRole('button', { name: 'Away' }).click()
  expect(await clear()).not.toEqual(heights)
  await page
    .getByRole('button', { name: /Make the col at .* a waypoint/ })
    .first()
    .click()
  await expect(page.locator('.waypoint')).toHaveCount(1)
  await page.getByRole('button', { name: 'Along a ridge…' }).click()
  await colsight.clickMap([0.2, 0.35], [0.3, 0.5], [0.4, 0.6])
  await page.getByRole('button', { name: 'Done' }).click()
  await expect.poll(() => rows.count()).toBeLessThan(heights.length)
})

test('a plan is saved and opened again', async ({ colsight }) => {
  const { page } = colsight
  await draw(colsight, ...FAR)
  await colsight.toggle('Plan file')
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Save plan…' }).click()
  const path = await (await download).path()
  const text = readFileSync(path, 'utf8')
  expect(readPlan(text, 'plan').plan.route.waypoints).toHaveLength(3)
  await page.getByRole('button', { name: 'Clear' }).click()
  await expect(page.locator('.waypoint')).toHaveCount(0)
  const open = async (content: string) => {
    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Open plan…' }).click()
    await (
      await chooser
    ).setFiles({
      name: 'p.geojson',
      mimeType: 'application/geo+json',
      buffer: Buffer.from(content),
    })
  }
  await open(text)
  await expect(page.locator('.waypoint')).toHaveCount(3)
  await open(text.replace('"height_over": "ground"', '"height_over": "moon"'))
  await expect(page.getByRole('alert')).toContainText('waypoints.0.height_over')
  await expect(page.locator('.waypoint')).toHaveCount(3)
})

test('a waypoint off the terrain is refused and stays', async ({ colsight }) => {
  const { page } = colsight
  await draw(colsight, ...SHORT)
  await page.getByText('Position').first().click()
  const latitude = page.getByLabel('Waypoint 1 latitude')
  const before = await latitude.inputValue()
  await latitude.fill('12')
  await latitude.press('Enter')
  await expect(page.getByRole('alert')).toContainText('The waypoint 1 (12.00000')
  await expect(page.locator('.legs tbody tr')).toHaveCount(2)
  expect(before).not.toBe('12')
})

test('cols and other places to stand are kept in the plan, by name', async ({ colsight }) => {
  const { page } = colsight
  await colsight.toggle('Ridge crossings')
  await page.getByRole('button', { name: 'Cols in view' }).click()
  await page
    .getByRole('button', { name: /^Keep the col at/ })
    .first()
    .click()
  const cols = page.getByRole('list', { name: 'Cols in the plan' })
  await expect(cols.getByRole('listitem')).toHaveCount(1)
  await cols.getByRole('textbox').fill('Low gap')
  await cols.getByRole('textbox').press('Enter')
  await expect(page.locator('.place-col', { hasText: 'Low gap' })).toHaveCount(1)
  await page.getByRole('button', { name: 'Keep this place in the plan' }).click()
  const stands = page.getByRole('list', { name: 'Places to stand' })
  const name = await stands.getByRole('textbox').inputValue()
  const before = await page.getByLabel('Latitude', { exact: true }).inputValue()
  await page.getByLabel('Latitude', { exact: true }).fill('41.21')
  await page.keyboard.press('Enter')
  await expect(page.getByLabel('Latitude', { exact: true })).toHaveValue(/^41\.21/)
  await stands.getByRole('button', { name: `Stand here: ${name}` }).click()
  await expect(page.getByLabel('Latitude', { exact: true })).toHaveValue(before)
  await cols.getByRole('button', { name: 'Waypoint: Low gap' }).click()
  await expect(page.locator('.legs tbody tr')).toHaveCount(1)
  await colsight.toggle('Plan file')
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Save plan…' }).click()
  const text = readFileSync(await (await download).path(), 'utf8')
  const { places } = readPlan(text, 'plan').plan
  expect(places.map(({ kind }) => kind)).toEqual(['col', 'other launch point'])
  expect(places[0].name).toBe('Low gap')
})
