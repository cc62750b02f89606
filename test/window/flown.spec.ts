import type { Page } from 'playwright/test'
import { writePlan } from '../../core/plan/planFile'
import { siteOf } from '../../core/surface/site'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { logCsv, plannedFlight, recorded, type Truth } from '../support/madeLog'
import { DEMO_TERRAIN } from '../support/places'
import { flownPlan } from '../support/plans'
import { expect, test, type ColsightWindow } from './window'

const TRUTH: Truth = {
  excessDb: 5,
  noiseDb: 2,
  dropShare: 0.1,
  currentFactor: 1.15,
  currentNoise: 0.05,
  seed: 41,
}
const terrain = await readTerrainFile(DEMO_TERRAIN)
const plan = flownPlan(terrain)
const log = logCsv(recorded(plannedFlight(siteOf(terrain, plan, null), plan, 0.5), TRUTH))
const bytes = (text: string) => new TextEncoder().encode(text)

/** Opens the plan and drops the log of its flight. */
async function bringIn(colsight: ColsightWindow, text = log, name = 'made.csv'): Promise<void> {
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(colsight.page.locator('.legs tbody tr').first()).toBeVisible()
  await colsight.drop([name, bytes(text)])
}

const compare = (page: Page) => page.getByRole('button', { name: 'Compare with the plan' }).click()
const excess = async (page: Page) =>
  Number(
    /Excess loss ([+-][\d.]+) dB/.exec((await page.locator('.flown-fit').textContent()) ?? '')?.[1],
  )

test('a log is previewed, compared along time and on the map, and taken into link and aircraft', async ({
  colsight,
}) => {
  const { page } = colsight
  await bringIn(colsight)
  await expect(page.locator('.log-lines thead')).toContainText('rssi (dBm)')
  await expect(page.locator('.log-flights')).toContainText(/signal -\d+ to -\d+ dBm, [\d,]+ mAh/)
  await compare(page)
  await expect(page.locator('.flown-fit')).toContainText('Excess loss')
  expect(Math.abs((await excess(page)) - 5)).toBeLessThan(0.6)
  await expect(page.locator('.flown-kinds tbody tr').first()).toContainText('Clear')
  const tracks = page.locator('.leaflet-overlay-pane path[stroke="#0b7285"]')
  await expect(tracks.first()).toBeAttached()
  await colsight.toggle('After the flight')
  await page.locator('.chart svg').click({ position: { x: 300, y: 80 } })
  await expect(page.locator('.flown-moment')).toContainText(/AGL/)
  // The aircraft is on the map, goes with Escape, and comes back.
  const aircraft = page.locator('.leaflet-marker-pane .marker-cursor')
  await expect(aircraft).toHaveCount(1)
  await page.locator('.chart svg').press('Escape')
  await expect(aircraft).toHaveCount(0)
  await page.locator('.chart svg').click({ position: { x: 300, y: 80 } })
  await expect(aircraft).toHaveCount(1)
  await expect(page.locator('.flown-moment')).toContainText(
    /Measured-\d+\.\d dBmPredicted-\d+\.\d dBm/,
  )

  // Asked about the other link, nothing of this one can be taken over.
  await page.locator('#logged-link').selectOption('control')
  await expect(page.getByRole('button', { name: /into the control link/ })).toHaveCount(0)
  await page.locator('#logged-link').selectOption('video')
  await page.getByRole('button', { name: 'Take into the video link' }).click()
  await expect(page.getByRole('button', { name: 'In the video link' })).toBeDisabled()
  // What is predicted now is what was measured.
  await expect(page.locator('.flown-kinds tbody tr').first()).toContainText(/[+-]0\.\d dB/)
  await colsight.toggle('Video link')
  const video = page.locator('.section', { hasText: 'Video link (down)' })
  await expect(video.getByLabel('Begin with')).toContainText(', as flown ')
  expect(Math.abs(Number(await video.getByLabel('Excess loss').inputValue()) - 5)).toBeLessThan(0.6)

  await page.getByRole('button', { name: 'Charge', exact: true }).click()
  await expect(page.locator('.figures')).toContainText(/Times 1\.1[3-7]/)
  await page.getByRole('button', { name: 'Take into the aircraft' }).click()
  await expect(page.getByRole('button', { name: 'In the aircraft' })).toBeDisabled()
  await expect(page.locator('.figures')).toContainText(/Times (1\.00|0\.99|1\.01)/)
  await colsight.toggle('Aircraft')
  await expect(page.locator('#aircraft-preset')).toContainText(', as flown ')
  // The predictions carry the spread.
  await page.getByRole('button', { name: 'Along the route' }).click()
  await page.getByRole('button', { name: 'Battery', exact: true }).click()
  await expect(page.locator('.figures')).toContainText(/±/)
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.getByRole('button', { name: 'As flown' }).click()
  await expect(page.getByRole('button', { name: 'Take into the aircraft' })).toBeEnabled()
})

test('columns are chosen, remembered, and percent is not taken for dBm', async ({ colsight }) => {
  const { page } = colsight
  const lines = log.split('\n').map((line, i) => {
    const cells = line.split(',')
    if (i === 0) return ['a', 'b', 'c', 'd', 'e'].join(',')
    const percent = Math.round(((Number(cells[4] || -112) + 112) / 90) * 100)
    return [cells[0], cells[1], cells[2], cells[3], percent].join(',')
  })
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await expect(page.locator('.legs tbody tr').first()).toBeVisible()
  await colsight.toggle('After the flight')
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Bring in a log…' }).click()
  const file = { name: 'strange.csv', mimeType: 'text/csv', buffer: Buffer.from(lines.join('\n')) }
  await (await chooser).setFiles(file)
  await expect(page.locator('.sheet-problem')).toContainText('Choose the columns of time')
  await expect(page.getByRole('button', { name: 'Compare with the plan' })).toBeDisabled()
  for (const [column, head] of [
    ['Time', 'a'],
    ['Latitude', 'b'],
    ['Longitude', 'c'],
    ['Height', 'd'],
    ['Signal', 'e'],
  ]) {
    const sheet = page.getByRole('dialog', { name: 'Flight log' })
    await sheet.getByLabel(column, { exact: true }).selectOption({ label: head })
  }
  await page.getByLabel('Times are in').selectOption('ms')
  await page.getByLabel('Signal is in').selectOption('dbm')
  await expect(page.locator('.sheet-problem')).toContainText('that is percent, not dBm')
  await page.getByLabel('Signal is in').selectOption('percent')
  await page.getByLabel('0 % is', { exact: true }).fill('-112')
  await page.keyboard.press('Enter')
  await page.getByLabel('100 % is', { exact: true }).fill('-22')
  await page.keyboard.press('Enter')
  await compare(page)
  await expect(page.locator('.flown-fit')).toContainText('Excess loss')
  await expect(page.locator('.figures')).toContainText('worked out of percent')
  expect(Math.abs((await excess(page)) - 5)).toBeLessThan(0.8)
  // The same heads are known the next time, also after a new start.
  await page.reload()
  await colsight.shaded()
  await colsight.drop(['flown.geojson', bytes(writePlan({ plan, terrain: null }))])
  await colsight.toggle('After the flight')
  const again = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Bring in a log…' }).click()
  await (await again).setFiles(file)
  await expect(page.getByLabel('Height', { exact: true })).toHaveValue('3')
  await expect(page.getByLabel('0 % is', { exact: true })).toHaveValue('-112')
  await expect(page.locator('.log-flights')).toContainText('dBm')
})

test('what is no log is said before anything is taken over', async ({ colsight }) => {
  const { page } = colsight
  await colsight.toggle('After the flight')
  const offer = async (name: string, text: string) => {
    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Bring in a log…' }).click()
    await (await chooser).setFiles({ name, mimeType: 'text/plain', buffer: Buffer.from(text) })
  }
  await offer('words.csv', 'nothing here')
  await expect(page.locator('.notice')).toContainText('"words.csv" is no table')
  await offer('bomb.gpx', '<!DOCTYPE gpx [<!ENTITY a "b">]><gpx/>')
  await expect(page.locator('.notice')).toContainText('document type of its own')
  const far = Array.from({ length: 30 }, (_, i) => `${i},10.5,20.5,100,-70`).join('\n')
  await offer('far.csv', `time_s,lat,lon,alt,rssi\n${far}`)
  await compare(page)
  await expect(page.locator('.profile-refusal')).toContainText('lies off this terrain')
  await page
    .locator('.section', { hasText: 'After the flight' })
    .getByRole('button', { name: 'Remove' })
    .click()
  await expect(page.locator('.profile-refusal')).toHaveCount(0)
})

test('a recorded GPX track can be compared instead of planned', async ({ colsight }) => {
  const { page } = colsight
  const points = log
    .split('\n')
    .slice(1)
    .map((line) => line.split(','))
    .map(
      ([ms, lat, lon, height]) =>
        `<trkpt lat="${lat}" lon="${lon}"><ele>${height}</ele><time>${new Date(1.79e12 + Number(ms)).toISOString()}</time></trkpt>`,
    )
  const gpx = `<gpx version="1.1"><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`
  await bringIn(colsight, gpx, 'flight.gpx')
  await page.getByRole('button', { name: 'It was flown: compare' }).click()
  await expect(page.locator('.log-flights')).toContainText('no signal, no charge')
  await compare(page)
  await expect(page.locator('.figures')).toContainText(
    'Levels were measured in sight for 0 s of flight',
  )
})
