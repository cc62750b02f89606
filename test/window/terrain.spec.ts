import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { TerrainGrid } from '../../core/terrain/grid'
import { madeTerrain } from '../support/madeTerrain'
import { tiffDirectories } from '../support/terrainFiles'
import { expect, test } from './window'

const hills = madeTerrain(200, 25, (east, north) => 300 + 120 * Math.sin(east / 400) + north / 40)

/** Columns of a terrain as a file of their own. */
function columns(terrain: TerrainGrid, from: number, to: number): Uint8Array {
  const { cols, rows, heights, westM, cellM } = terrain
  const part = new Float32Array((to - from) * rows)
  for (let row = 0; row < rows; row++) {
    part.set(heights.subarray(row * cols + from, row * cols + to), row * (to - from))
  }
  return writeGeoTiff(part, { ...terrain, cols: to - from, westM: westM + from * cellM })
}

const fixture = (name: string) =>
  new Uint8Array(readFileSync(fileURLToPath(new URL(`../fixtures/${name}`, import.meta.url))))

test('two files become one ground; a damaged one among them is named and left out', async ({
  colsight,
  page,
}) => {
  await colsight.drop(
    ['west.tif', columns(hills, 0, 110)],
    ['east.tif', columns(hills, 100, 200)],
    ['torn.tif', columns(hills, 0, 100).slice(0, 4000)],
  )
  const sheet = page.getByRole('dialog', { name: 'Ground to plan on' })
  await expect(sheet).toContainText('west.tif and 1 more')
  await expect(sheet.getByText('"torn.tif" is damaged or cut short')).toBeVisible()
  await expect(sheet.getByRole('status')).toContainText('200 × 200 cells of 25 m')
  await sheet.getByText('east.tif', { exact: true }).click()
  await expect(sheet.locator('.file[open]')).toContainText('WGS 84 / UTM zone 58N (EPSG:32658)')
  await expect(sheet.locator('.file[open]')).toContainText('9 m for such cells')
  await colsight.planOnThis()
  await colsight.toggle('Terrain')
  await expect(page.locator('.facts').filter({ hasText: 'Grid' })).toContainText('200 × 200')
})

test('a window is cut by field, key and pointer; another part keeps the plan', async ({
  colsight,
  page,
}) => {
  await colsight.drop(['hills.tif', writeGeoTiff(hills.heights, hills)])
  const sheet = page.locator('.opening')
  const status = sheet.getByRole('status')
  await sheet.getByLabel('A window around a place').check()
  await sheet.getByLabel('West to east').fill('2')
  await sheet.getByLabel('West to east').press('Enter')
  await sheet.getByLabel('South to north').fill('1.5')
  await sheet.getByLabel('South to north').press('Enter')
  await expect(status).toContainText(/8\d × 6\d cells of 25 m/)
  const latitude = sheet.getByLabel('Window latitude')
  const before = Number(await latitude.inputValue())
  await sheet.getByRole('button', { name: /^Window: arrow keys/ }).press('ArrowUp')
  await expect.poll(async () => Number(await latitude.inputValue())).toBeGreaterThan(before)
  const map = (await sheet.locator('.overview').boundingBox())!
  await page.mouse.click(map.x + map.width * 0.2, map.y + map.height * 0.75)
  await expect.poll(async () => Number(await latitude.inputValue())).toBeLessThan(before)
  const corner = (await sheet.locator('.overview-corner').boundingBox())!
  await page.mouse.move(corner.x + 5, corner.y + 5)
  await page.mouse.down()
  await page.mouse.move(corner.x + 35, corner.y + 25, { steps: 4 })
  await page.mouse.up()
  await expect
    .poll(async () => Number(await sheet.getByLabel('West to east').inputValue()))
    .toBeGreaterThan(2)
  await sheet.getByLabel('Working cell').selectOption('50')
  await expect(status).toContainText('cells of 50 m')
  await colsight.planOnThis()
  await colsight.shaded()
  await colsight.toggle('Terrain')
  const grid = page.locator('.facts').filter({ hasText: 'Grid' })
  await expect(grid).toContainText('cells of 50 m')
  await expect(grid).toContainText('the mean of 2 x 2 cells of the file')

  const launch = await page.getByLabel('Latitude', { exact: true }).inputValue()
  await page.getByRole('button', { name: 'Another part or cell…' }).click()
  await sheet.getByLabel('All of it').check()
  await sheet.getByLabel('Working cell').selectOption('25')
  await page.getByRole('button', { name: 'Go over to this part' }).click()
  await expect(grid).toContainText('200 × 200')
  expect(await page.getByLabel('Latitude', { exact: true }).inputValue()).toBe(launch)

  // A part without the launch point would leave the plan in the air.
  await page.getByRole('button', { name: 'Another part or cell…' }).click()
  await sheet.getByLabel('A window around a place').check()
  await sheet.getByLabel('West to east').fill('1')
  await sheet.getByLabel('West to east').press('Enter')
  await page.mouse.click(map.x + map.width * 0.9, map.y + map.height * 0.1)
  await expect(sheet.getByRole('alert')).toContainText('1 of the 1 places of the plan')
  await page.getByRole('button', { name: 'Go over to this part' }).click()
  await expect(sheet.getByRole('alert').last()).toContainText(/launch point .* is off the terrain/)
  await page.keyboard.press('Escape')
  await expect(sheet).toHaveCount(0)
  await expect(grid).toContainText('200 × 200')
})

test('files packed by ZSTD, LERC and the rest open in the window', async ({ colsight, page }) => {
  const names = ['zstd-predictor3', 'lerc-zstd', 'lzw-predictor2-tiles', 'mask'] as const
  const ground: string[] = []
  for (const name of names) {
    await colsight.dropAndPlan([`${name}.tif`, fixture(`${name}.tif`)])
    await colsight.hasTerrain(`${name}.tif`)
    await colsight.shaded()
    ground.push((await page.locator('.facts').filter({ hasText: 'Grid' }).textContent())!)
  }
  const heights = ground.map((text) => /Heights.*$/.exec(text)![0])
  expect(new Set(heights).size).toBe(1)
})

test('a bare file asks for its system, or takes it from the files beside it', async ({
  colsight,
  page,
}) => {
  const bare = bareTiff(hills)
  await colsight.drop(
    ['bare.tif', bare],
    ['bare.tfw', new TextEncoder().encode('25\n0\n0\n-25\n497512.5\n4562487.5\n')],
  )
  const sheet = page.locator('.opening')
  await expect(sheet).toContainText('"bare.tif" does not name its coordinate system')
  await expect(page.getByRole('button', { name: 'Plan on this ground' })).toBeDisabled()
  const say = async (code: string) => {
    await sheet.getByLabel('EPSG code of files without a system').fill(code)
    await sheet.getByLabel('EPSG code of files without a system').press('Enter')
    await sheet.getByRole('button', { name: 'Take this system' }).click()
  }
  await say('4326')
  await expect(sheet).toContainText('its coordinates look like metres, not degrees')
  // A wrong word can be taken back.
  await say('32658')
  await expect(sheet.getByRole('status')).toContainText('200 × 200 cells of 25 m')
  await colsight.planOnThis()
  await colsight.hasTerrain('bare.tif')
})

test('a text dropped on the sheet belongs to the file of its name; Escape leaves the sheet', async ({
  colsight,
  page,
}) => {
  const text = (words: string) => new TextEncoder().encode(words)
  await colsight.drop(
    ['bare.tif', bareTiff(hills)],
    ['bare.tfw', text('25\n0\n0\n-25\n497512.5\n4562487.5\n')],
  )
  const sheet = page.locator('.opening')
  await expect(sheet).toContainText('does not name its coordinate system')
  const projection =
    'PROJCS["WGS_1984_UTM_Zone_58N",GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",165.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]'
  await colsight.drop(['bare.prj', text(projection)])
  await expect(sheet.getByRole('status')).toContainText('200 × 200 cells of 25 m in WGS 84 / UTM')
  await colsight.drop(['other.tif', columns(hills, 0, 50)])
  await expect(sheet).toContainText('bare.tif and 1 more')
  await sheet.getByLabel('A window around a place').check()
  const field = sheet.getByLabel('West to east')
  await field.fill('3')
  await field.press('Escape')
  await expect(field).not.toHaveValue('3')
  await field.press('Escape')
  await expect(sheet).toHaveCount(0)
  await colsight.hasTerrain('Durrask massif (demo)')
})

test('odd values are shown; voids are filled and marked on request', async ({ colsight, page }) => {
  const odd = { ...hills, heights: hills.heights.slice() }
  // A value that nobody declared, a bowl of it, and a small void.
  for (let row = 20; row < 40; row++) odd.heights.fill(-500, row * 200 + 20, row * 200 + 40)
  for (let row = 90; row < 93; row++) odd.heights.fill(NaN, row * 200 + 120, row * 200 + 123)
  await colsight.drop(['odd.tif', writeGeoTiff(odd.heights, odd)])
  const sheet = page.locator('.opening')
  await sheet.getByLabel(/Take -500 as missing: 1.0 % of the cells/).click()
  await expect(sheet.getByLabel(/Take -500 as missing/)).toBeChecked()
  await expect(sheet.locator('.file[open]')).toContainText(/Without data\s*1.0 %/)
  await sheet.getByLabel(/Fill small voids/).check()
  await colsight.planOnThis()
  await colsight.toggle('Terrain')
  await expect(page.locator('.facts').filter({ hasText: 'Grid' })).toContainText(
    '1.0 % without data (hatched), 9 cells of voids filled (dotted)',
  )
})

test('the guide to terrain opens and closes by key', async ({ colsight, page }) => {
  await colsight.toggle('Terrain')
  await page.getByRole('button', { name: 'Where to get terrain' }).press('Enter')
  const guide = page.getByRole('dialog', { name: 'Where to get terrain' })
  await expect(guide.getByRole('row')).toHaveCount(6)
  await page.keyboard.press('Escape')
  await expect(guide).toHaveCount(0)
})

/** A terrain as a TIFF that says nothing of where it lies. */
function bareTiff({ cols, rows, heights }: TerrainGrid): Uint8Array {
  const tags = (offset: number) =>
    [
      [256, 4, [cols]],
      [257, 4, [rows]],
      [258, 3, [32]],
      [259, 3, [1]],
      [262, 3, [1]],
      [273, 4, [offset]],
      [277, 3, [1]],
      [278, 4, [rows]],
      [279, 4, [heights.byteLength]],
      [339, 3, [3]],
    ] as const
  const size = tiffDirectories([tags(0)]).length
  const bytes = new Uint8Array(size + heights.byteLength)
  bytes.set(tiffDirectories([tags(size)]))
  bytes.set(new Uint8Array(heights.buffer, heights.byteOffset, heights.byteLength), size)
  return bytes
}
