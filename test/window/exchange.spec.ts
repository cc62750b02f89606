import { readFileSync } from 'node:fs'
import { writeGpx } from '../../core/exchange/gpx'
import { writeKml } from '../../core/exchange/kml'
import type { MapFeature } from '../../core/exchange/features'
import { readFeatures } from '../../core/exchange/planFeatures'
import { expect, test } from './window'

const spot = (latDeg: number, lonDeg: number, amslM: number | null = null, name = '') => ({
  latDeg,
  lonDeg,
  amslM,
  name,
})
const text = (words: string) => new TextEncoder().encode(words)
const LINE: MapFeature = {
  kind: 'line',
  name: 'Over the shoulder',
  note: '',
  spots: [spot(41.205, 166.325, 900, 'First'), spot(41.215, 166.335, 1300), spot(41.22, 166.33)],
}
const FAR: MapFeature = {
  kind: 'line',
  name: 'Elsewhere',
  note: '',
  spots: [spot(1, 2), spot(1, 3)],
}
const FIELD: MapFeature = {
  kind: 'area',
  name: 'Long field',
  note: 'no cows',
  spots: [spot(41.2, 166.33), spot(41.2, 166.335), spot(41.204, 166.335), spot(41.204, 166.33)],
}

test('what another program made is shown first, then becomes route and landing area', async ({
  colsight,
  page,
}) => {
  await colsight.drop(['trip.kml', text(writeKml('Trip', [FAR, LINE, FIELD]))])
  const sheet = page.getByRole('dialog', { name: 'Bring into the plan' })
  await expect(sheet.getByRole('row', { name: /Elsewhere/ })).toContainText('lies off the terrain')
  await expect(sheet.getByLabel('Take Over the shoulder as')).toHaveValue('route')
  await sheet.getByLabel('Take Long field as').selectOption('landing area')
  await sheet.getByRole('button', { name: 'Take over' }).click()
  await expect(page.locator('.waypoint')).toHaveCount(3)
  await colsight.toggle('Landing areas')
  await expect(page.getByLabel('Name of landing area 1')).toHaveValue('Long field')

  await colsight.toggle('Hand over')
  const download = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Hand over…' }).click()
  const saved = readFileSync(await (await download).path(), 'utf8')
  const { features } = readFeatures(saved, 'plan.gpx')
  const route = features.find(({ name }) => name === 'Route')!
  // Between the waypoints there are positions that keep the shape of the legs.
  const waypoints = route.spots.filter(({ name }) => name !== '').slice(1)
  expect(waypoints).toHaveLength(3)
  waypoints.forEach(({ latDeg, lonDeg }, i) => {
    expect(latDeg).toBeCloseTo(LINE.spots[i].latDeg, 6)
    expect(lonDeg).toBeCloseTo(LINE.spots[i].lonDeg, 6)
  })
  expect(features.map(({ name }) => name)).toContain('Long field')

  // A second file may replace the route, and says so.
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Bring in…' }).click()
  const buffer = Buffer.from(writeGpx('Back', [{ ...LINE, spots: LINE.spots.slice(0, 2) }]))
  await (await chooser).setFiles({ name: 'back.gpx', mimeType: 'application/gpx+xml', buffer })
  await expect(sheet.getByRole('button', { name: 'Take over' })).toBeDisabled()
  await sheet.getByLabel('Take Over the shoulder as').selectOption('route')
  await expect(sheet).toContainText('Undo brings it back')
  await sheet.getByRole('button', { name: 'Take over' }).click()
  await expect(page.locator('.waypoint')).toHaveCount(2)
  await page.getByRole('button', { name: 'Undo' }).click()
  await expect(page.locator('.waypoint')).toHaveCount(3)
})

test('a script in a name stays a name; a bomb and a half file are sentences', async ({
  colsight,
  page,
}) => {
  const evil = '<img src=x onerror="window.evil=1"><script>window.evil=1</script>'
  await colsight.drop(['evil.gpx', text(writeGpx(evil, [{ ...LINE, name: evil }]))])
  const sheet = page.getByRole('dialog', { name: 'Bring into the plan' })
  await expect(sheet.getByRole('rowheader').first()).toHaveText(evil)
  await sheet.getByRole('button', { name: 'Take over' }).click()
  await expect(page.locator('.waypoint')).toHaveCount(3)
  expect(await page.evaluate(() => 'evil' in window)).toBe(false)
  const notice = page.getByRole('alert').first()
  await colsight.drop(['bomb.gpx', text('<!DOCTYPE a [<!ENTITY b "c">]><gpx>&b;</gpx>')])
  await expect(notice).toContainText('defines a document type of its own')
  await colsight.drop(['half.kml', text(writeKml('x', [LINE]).slice(0, 200))])
  await expect(notice).toContainText('"half.kml" is not whole XML')
})

test('positions are typed, pasted and copied in every style, and places found by name', async ({
  page,
  context,
}) => {
  await context.grantPermissions(['clipboard-read', 'clipboard-write'])
  const search = page.getByLabel('Target at a position or name')
  await search.fill('nowhere at all')
  await search.press('Enter')
  await expect(page.getByText('Neither a position nor a name')).toBeVisible()
  await search.fill('Arvenn Col')
  await search.press('Enter')
  await expect(page.locator('.verdict')).toBeVisible()
  await search.fill('58T 610000 4562000')
  await search.press('Enter')
  const target = page.getByLabel('Target as text')
  await page.getByLabel('Style of positions').first().selectOption('mgrs')
  await expect(target).toHaveValue(/^58T FL (09999|10000) (61999|62000)$/)
  await page.getByRole('button', { name: 'Target: copy' }).click()
  expect(await page.evaluate(() => navigator.clipboard.readText())).toMatch(/^58T FL /)
  const launch = page.getByLabel('Launch point as text')
  await launch.fill('41°12\'15"N 166°19\'20"E')
  await launch.press('Enter')
  await expect(page.getByLabel('Latitude', { exact: true })).toHaveValue('41.20417')
  await launch.fill('over there')
  await launch.press('Enter')
  await expect(page.locator('.field-problem')).toContainText('degrees minutes seconds, UTM or MGRS')
})
