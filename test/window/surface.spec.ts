import { readFileSync } from 'node:fs'
import { fromArrayBuffer } from 'geotiff'
import { unzipSync } from 'fflate'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { madeTerrain } from '../support/madeTerrain'
import { expect, test } from './window'

const bytesOf = (text: string) => Buffer.from(text)

test('vegetation, a wire and a wood take sight away, and are undone', async ({
  colsight,
  page,
}) => {
  const clear = (shares: number[]) => shares[0]
  const before = await colsight.shares()
  await colsight.toggle('What stands on the ground')
  await page.getByLabel('Vegetation height').fill('12')
  await page.keyboard.press('Enter')
  await expect.poll(async () => clear(await colsight.shares())).toBeLessThan(clear(before))
  const wooded = await colsight.settledShares()
  await page.getByLabel('No trees above a tree line').check()
  await page.getByLabel('Tree line, AMSL').fill('0')
  await page.keyboard.press('Enter')
  await expect.poll(() => colsight.shares()).toEqual(before)
  await page.getByLabel('No trees above a tree line').uncheck()
  await expect.poll(() => colsight.shares()).toEqual(wooded)

  await page.getByRole('button', { name: 'Wire' }).click()
  await colsight.clickMap([0.42, 0.42], [0.6, 0.46], [0.66, 0.6])
  await expect(page.locator('.drawing-bar')).toContainText('3 points')
  await page.keyboard.press('Backspace')
  await expect(page.locator('.drawing-bar')).toContainText('2 points')
  await page.getByRole('button', { name: 'Done' }).click()
  await expect(page.locator('.obstacles li')).toHaveCount(1)
  await expect.poll(() => colsight.shares()).not.toEqual(wooded)
  await page.getByLabel('Height of Wire 1').fill('0')
  await page.keyboard.press('Enter')
  await expect(page.locator('.field-problem')).toContainText('from 1 to 1000')
  await page.keyboard.press('Escape')

  await page.getByRole('button', { name: 'Wood' }).click()
  await page.keyboard.press('Escape')
  await expect(page.locator('.drawing-bar')).toHaveCount(0)
  // A double click ends an area, and does not zoom.
  const scale = await page.locator('.leaflet-control-scale').textContent()
  await page.getByRole('button', { name: 'Wood' }).click()
  await colsight.clickMap([0.4, 0.6], [0.5, 0.6])
  const last = await colsight.mapPoint(0.45, 0.7)
  await page.mouse.dblclick(last.x, last.y)
  await expect(page.locator('.obstacles li')).toHaveCount(2)
  expect(await page.locator('.leaflet-control-scale').textContent()).toBe(scale)

  await page.getByRole('button', { name: 'Remove Wood 1' }).click()
  await expect(page.locator('.obstacles li')).toHaveCount(1)
  for (let k = 0; k < 7; k++) await page.getByRole('button', { name: 'Undo' }).click()
  await expect.poll(() => colsight.shares()).toEqual(before)
})

test('an obstacle is drawn by keyboard', async ({ colsight, page }) => {
  await colsight.toggle('What stands on the ground')
  await page.getByRole('button', { name: 'Mast' }).focus()
  await page.keyboard.press('Enter')
  await page.locator('.map').focus()
  await page.keyboard.press('Enter')
  await expect(page.getByLabel('Name of obstacle 1')).toHaveValue('Mast 1')
})

test('obstacles are imported; a bad file is refused and nothing is lost', async ({
  colsight,
  page,
}) => {
  await colsight.toggle('What stands on the ground')
  const notice = page.getByRole('alert').first()
  const importFile = async (name: string, text: string) => {
    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Import…' }).click()
    await (await chooser).setFiles({ name, mimeType: 'application/json', buffer: bytesOf(text) })
  }
  const collection = (...properties: object[]) =>
    JSON.stringify({
      type: 'FeatureCollection',
      features: properties.map((each) => ({
        type: 'Feature',
        properties: each,
        geometry: { type: 'Point', coordinates: [166.33, 41.21] },
      })),
    })
  await importFile('masts.geojson', collection({ height_m: 40, name: 'Relay' }, { height_m: 12 }))
  await expect(page.locator('.obstacles li')).toHaveCount(2)
  await expect(page.getByLabel('Name of obstacle 1')).toHaveValue('Relay')
  await importFile('bad.geojson', collection({ name: 'Span' }))
  await expect(notice).toContainText('feature 1 of "bad.geojson" ("Span") has no height')
  await importFile('holiday.json', 'sun and sea')
  await expect(notice).toContainText('"holiday.json" is not GeoJSON')
  await expect(page.locator('.obstacles li')).toHaveCount(2)
})

test('a surface model stands on the terrain; one from elsewhere is refused', async ({
  colsight,
  page,
}) => {
  const hills = madeTerrain(200, 25, (east) => 300 + 60 * Math.sin(east / 400))
  await colsight.dropAndPlan(['hills.tif', writeGeoTiff(hills.heights, hills)])
  await colsight.hasTerrain('hills.tif')
  await colsight.shaded()
  const before = await colsight.settledShares()
  await colsight.toggle('What stands on the ground')
  const openModel = async (name: string, content: Uint8Array) => {
    const chooser = page.waitForEvent('filechooser')
    await page.getByRole('button', { name: 'Open…' }).click()
    await (await chooser).setFiles({ name, mimeType: 'image/tiff', buffer: Buffer.from(content) })
  }
  const canopy = { ...hills, heights: hills.heights.map((height) => height + 18) }
  await openModel('canopy.tif', writeGeoTiff(canopy.heights, canopy))
  await expect(page.getByText(/Surface model canopy.tif, on 100.0 %/)).toBeVisible()
  await expect.poll(async () => (await colsight.shares())[0]).toBeLessThan(before[0])
  const elsewhere = { ...canopy, northM: canopy.northM + 90_000 }
  await openModel('elsewhere.tif', writeGeoTiff(canopy.heights, elsewhere))
  await expect(page.getByRole('alert').first()).toContainText('does not overlap the terrain')
  await expect(page.getByText(/Surface model canopy.tif/)).toBeVisible()
  await page.getByRole('button', { name: 'Remove', exact: true }).click()
  await expect.poll(() => colsight.shares()).toEqual(before)
})

test('the error of the terrain makes answers uncertain, and zero makes them sure', async ({
  colsight,
  page,
}) => {
  await colsight.toggle('Terrain')
  await expect(page.locator('.legend')).toContainText('Sight uncertain')
  const usual = await colsight.shares()
  await page.getByLabel('Nine heights in ten within').fill('25')
  await page.keyboard.press('Enter')
  await expect.poll(async () => (await colsight.shares())[3]).toBeGreaterThan(usual[3])
  await page.getByLabel('Nine heights in ten within').fill('0')
  await page.keyboard.press('Enter')
  await expect(page.locator('.legend li')).toHaveCount(3)
  await expect(page.locator('.legend')).not.toContainText('uncertain')
  await page.getByLabel('Kind of elevation model').selectOption('coarse')
  await expect(page.getByLabel('Nine heights in ten within')).toHaveValue('16')
})

test('the clear heights as a layer, with a scale and labelled lines', async ({
  colsight,
  page,
}) => {
  const answers = await colsight.shadedPixels()
  await page.getByRole('button', { name: 'Sight from' }).click()
  await expect(page.locator('.height-legend li')).toHaveText([
    ...['0', '30', '60', '120', '250', '500', '1000'],
  ])
  await expect(page.locator('.isoline-label').first()).toHaveText(/^(30|60|120|250|500) m$/)
  expect(await colsight.shadedPixels()).toBeCloseTo(answers, 1)
  await page.getByRole('button', { name: 'ft', exact: true }).click()
  await expect(page.locator('.height-legend li').nth(1)).toHaveText('100')
  await expect(page.locator('.isoline-label').first()).toHaveText(/ft$/)
  await page.getByRole('button', { name: 'At height' }).click()
  await expect(page.locator('.isoline-label')).toHaveCount(0)
})

test('a ridge line is read, and its lowest place becomes the target', async ({
  colsight,
  page,
}) => {
  await colsight.toggle('Read a line')
  await page.getByRole('button', { name: 'Line', exact: true }).click()
  await colsight.clickMap([0.2, 0.25], [0.6, 0.15], [0.6, 0.15])
  const lowest = page.getByTitle('Put the target there').first()
  await expect(lowest).toHaveText(/[\d,]+ m/)
  await expect(page.locator('.reading-mark').first()).toHaveText(/m sight$/)
  await lowest.click()
  await expect(page.locator('.verdict')).toBeVisible()
  const cells = await page.locator('.section-note', { hasText: /Over .* cells/ }).textContent()
  await page.getByRole('button', { name: 'Area', exact: true }).click()
  await colsight.clickMap([0.2, 0.2], [0.6, 0.2], [0.4, 0.5], [0.4, 0.5])
  await expect(page.locator('.section-note', { hasText: /Over .* cells/ })).not.toHaveText(cells!)
})

test('the horizon is read by pointer and by key', async ({ colsight, page }) => {
  await colsight.toggle('Horizon')
  const chart = page.getByRole('slider', { name: 'Azimuth around the launch point' })
  await chart.scrollIntoViewIfNeeded()
  const box = (await chart.boundingBox())!
  await page.mouse.move(box.x + box.width / 2, box.y + 30)
  await expect(page.locator('.horizon-words')).toContainText(
    /^0°: skyline -?[\d.]+° up, [\d.]+ (k?m) off/,
  )
  await chart.focus()
  await page.keyboard.press('PageUp')
  await page.keyboard.press('ArrowLeft')
  await expect(page.locator('.horizon-words')).toContainText(/^14°: skyline/)
  await expect(chart).toHaveAttribute('aria-valuetext', /^14°: skyline/)
})

test('results are saved as files that others can read', async ({ colsight, page }) => {
  await colsight.toggle('Save results')
  const save = async (label: RegExp) => {
    const option = page.getByRole('option', { name: label })
    await page.getByLabel('What to save').selectOption(await option.getAttribute('value'))
    const download = page.waitForEvent('download')
    await page.getByRole('button', { name: 'Save…' }).click()
    const file = await download
    return { name: file.suggestedFilename(), bytes: readFileSync(await file.path()) }
  }
  const field = await save(/for Fresnel/)
  expect(field.name).toBe('fresnel.tif')
  const { bytes } = field
  const tiff = await fromArrayBuffer(
    bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer,
  )
  const image = await tiff.getImage()
  expect([image.getWidth(), image.getHeight()]).toEqual([1000, 1000])
  const values = (await image.readRasters({ interleave: true })) as Float32Array
  expect(values.every((value) => value >= 0)).toBe(true)

  const picture = unzipSync((await save(/PNG/)).bytes)
  expect([...picture['shading.png'].slice(1, 4)]).toEqual([...bytesOf('PNG')])
  const polygons = await save(/polygons/)
  const areas = JSON.parse(polygons.bytes.toString()) as {
    features: { properties: { class: string } }[]
  }
  expect(areas.features.map(({ properties }) => properties.class)).toContain('blocked')
})

test('a radius beyond the terrain is said', async ({ colsight, page }) => {
  await colsight.toggle('Range and sector')
  await page.getByLabel('Only within a radius').check()
  await page.getByLabel('Radius', { exact: true }).fill('80')
  await page.keyboard.press('Enter')
  await expect(page.getByText(/terrain ends [\d.]+ km from the launch point/)).toBeVisible()
})
