import type { Locator } from 'playwright/test'
import { expect, test, type ColsightWindow } from './window'

/** More stops than any way through the window has. */
const MOST_STOPS = 400

/** Goes on with the Tab key until the keyboard is there, and sees that it shows. */
async function tabTo({ page }: ColsightWindow, wanted: Locator): Promise<void> {
  await expect(wanted).toBeVisible()
  for (let stop = 0; stop < MOST_STOPS; stop++) {
    const isThere = await wanted.evaluate((each) => document.activeElement === each)
    if (isThere) {
      const outline = await wanted.evaluate((each) => {
        const { outlineStyle, outlineWidth, boxShadow } = getComputedStyle(each)
        return { isDrawn: outlineStyle !== 'none' && outlineWidth !== '0px', boxShadow }
      })
      expect(outline.isDrawn || outline.boxShadow !== 'none').toBe(true)
      await expect(wanted).toBeInViewport()
      return
    }
    await page.keyboard.press('Tab')
  }
  throw new Error(`the Tab key does not lead to ${wanted}`)
}

test('the whole job with the keyboard alone', async ({ colsight }) => {
  test.setTimeout(180_000)
  const { page } = colsight
  const button = (name: string) => page.getByRole('button', { name, exact: true })
  const press = async (wanted: Locator, key = 'Enter') => {
    await tabTo(colsight, wanted)
    await page.keyboard.press(key)
  }
  const type = async (wanted: Locator, text: string) => {
    await tabTo(colsight, wanted)
    await page.keyboard.press('ControlOrMeta+a')
    await page.keyboard.type(text)
    await page.keyboard.press('Enter')
  }
  const open = async (title: string) =>
    press(page.locator('.section > summary', { has: page.getByRole('heading', { name: title }) }))
  const map = page.locator('.map')

  // Where to stand, and how high to fly.
  await type(page.getByLabel('Latitude', { exact: true }), '41.203')
  await expect(page.locator('.field-help')).toContainText('North is positive.')
  await colsight.shaded()
  await type(page.getByRole('textbox', { name: 'Above ground', exact: true }), '80')
  // A target in the middle of the map, its path and the budget of its link.
  await press(map)
  await expect(page.locator('.profile')).toContainText('Clear from')
  await press(page.locator('.figures-tabs').getByText('Video'))
  await expect(page.locator('.figures')).toContainText('Free space')
  // A route of two waypoints, the map moved in between.
  await open('Route')
  await press(button('Draw on the map'))
  await tabTo(colsight, map)
  await page.keyboard.press('Enter')
  await page.keyboard.press('ArrowRight')
  await page.waitForTimeout(500)
  await page.keyboard.press('Enter')
  await expect(page.locator('.drawing-bar')).toContainText('2 points')
  await press(button('Done'))
  await press(button('Out and back'))
  await expect(page.locator('.legs tbody tr')).toHaveCount(4)
  // What the corridor says, and its moments one by one.
  await press(page.locator('.figures-tabs').getByText('Moment'))
  await tabTo(colsight, page.getByRole('slider', { name: 'Along the route', exact: true }))
  await page.keyboard.press('ArrowRight')
  await expect(page.locator('.figures')).toContainText('Margins')
  // Where to put it down.
  await open('Landing areas')
  await press(button('Find landing areas'))
  await press(button('Take area 1 into the plan'))
  await expect(page.locator('.accepted-areas, .section')).not.toHaveCount(0)
  // The brief, and the plan as a file.
  await page.keyboard.press('ControlOrMeta+p')
  await expect(page.locator('.brief-view iframe')).toBeVisible()
  await page.keyboard.press('Escape')
  await expect(page.locator('dialog')).toHaveCount(0)
  const download = page.waitForEvent('download')
  await page.keyboard.press('ControlOrMeta+s')
  expect((await download).suggestedFilename()).toMatch(/\.geojson$/)
})

test('nothing moves by itself where the system asks for less motion', async ({ colsight }) => {
  const { page } = colsight
  await page.emulateMedia({ reducedMotion: 'reduce' })
  const moving = await page.evaluate(() =>
    [...document.querySelectorAll('*')]
      .filter((each) => {
        const { transitionDuration, animationName } = getComputedStyle(each)
        return animationName !== 'none' || /[1-9]/.test(transitionDuration)
      })
      .map(({ className }) => String(className)),
  )
  expect(moving).toEqual([])
  // The map goes over to a place at once.
  const before = await page.locator('.marker-launch').boundingBox()
  await page.locator('.map').focus()
  await page.keyboard.press('ArrowRight')
  const after = await page.locator('.marker-launch').boundingBox()
  await page.waitForTimeout(400)
  const later = await page.locator('.marker-launch').boundingBox()
  expect(after!.x).not.toBe(before!.x)
  expect(later!.x).toBe(after!.x)
})
