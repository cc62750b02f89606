import { rmSync } from 'node:fs'
import { test as base, expect, type Page } from 'playwright/test'
import { serveWindow, type WindowServer } from '../../electron/browser/server'
import { buildIfStale } from '../../electron/build'
import { FolderStore } from '../../electron/node/folderStore'
import { windowFolder } from '../../electron/node/paths'
import { HAS_CHROMIUM } from '../support/chromium'
import { temporaryFolder } from '../support/places'

/** Where the server keeps what the window remembers. */
export const storeFolder = temporaryFolder()

/** The window of the browser host in chromium, with whatever went wrong in it. */
export class ColsightWindow {
  readonly problems: string[] = []

  constructor(readonly page: Page) {
    page.on('pageerror', (error) => this.problems.push(error.message))
    page.on('console', (message) => {
      if (message.type() === 'error') this.problems.push(message.text())
    })
  }

  /** Opens the window and waits for the first shading; the signal may still be worked out. */
  async start(url: string): Promise<void> {
    await this.page.goto(url)
    await expect(this.page.locator('.legend-share').first()).toHaveText(/%/)
  }

  /** Waits until the shares of a coverage are there. */
  async shaded(): Promise<void> {
    await expect(this.page.locator('.legend-share').first()).toHaveText(/%/)
    await expect(this.page.locator('.work')).toHaveCount(0)
  }

  /** Shares of the classes shown, percent, from best to worst. */
  async shares(): Promise<number[]> {
    const texts = await this.page.locator('.legend-share').allTextContents()
    return texts.map((text) => Number.parseFloat(text))
  }

  /** Opens or closes a section of the side panel. */
  async toggle(section: string): Promise<void> {
    await this.page.locator('.section > summary', { hasText: section }).click()
  }

  /** The terrain at hand, as the panel names it. */
  async hasTerrain(name: string): Promise<void> {
    await expect(this.page.locator('.section-summary', { hasText: name })).toHaveCount(1)
  }

  /** Clicks places of the map, in shares of its width and height. */
  async clickMap(...places: readonly (readonly [number, number])[]): Promise<void> {
    for (const place of places) {
      const { x, y } = await this.mapPoint(...place)
      await this.page.mouse.click(x, y)
    }
  }

  /** The shares once they have stayed the same for a while. */
  async settledShares(): Promise<number[]> {
    let last: number[] = []
    const isSettled = async () => {
      const before = last
      last = await this.shares()
      return JSON.stringify(before) === JSON.stringify(last)
    }
    await expect.poll(isSettled, { intervals: [600] }).toBe(true)
    return last
  }

  /** Share of the map's pixels that the shading covers, once it is there and stays the same. */
  async shadedPixels(): Promise<number> {
    let last = 0
    const isSettled = async () => {
      const before = last
      last = await this.shadedPixelsNow()
      return last > 0 && last === before
    }
    await expect.poll(isSettled, { intervals: [200] }).toBe(true)
    return last
  }

  /** The same at this moment, by reading the map's canvases. */
  private shadedPixelsNow(): Promise<number> {
    return this.page.evaluate(() => {
      const layers = document.querySelectorAll('.leaflet-tile-pane .leaflet-layer')
      const canvases = [...layers[layers.length - 1].querySelectorAll('canvas')]
      let [painted, all] = [0, 0]
      for (const canvas of canvases) {
        const image = canvas.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height)
        for (let i = 3; image && i < image.data.length; i += 4) {
          all++
          if (image.data[i] > 0) painted++
        }
      }
      return painted / all
    })
  }

  async mapPoint(x: number, y: number): Promise<{ x: number; y: number }> {
    const box = await this.page.locator('.map').boundingBox()
    if (!box) throw new Error('the map is not shown')
    return { x: box.x + box.width * x, y: box.y + box.height * y }
  }

  /** Drops files on the window as the desktop would. */
  async drop(...files: readonly (readonly [name: string, bytes: Uint8Array])[]): Promise<void> {
    const transfer = await this.page.evaluateHandle(
      (dropped) => {
        const data = new DataTransfer()
        for (const { name, content } of dropped) {
          const array = Uint8Array.from(atob(content), (letter) => letter.charCodeAt(0))
          data.items.add(new File([array], name))
        }
        return data
      },
      files.map(([name, bytes]) => ({ name, content: Buffer.from(bytes).toString('base64') })),
    )
    await this.page.dispatchEvent('.window', 'dragover', { dataTransfer: transfer })
    await this.page.dispatchEvent('.window', 'drop', { dataTransfer: transfer })
  }

  /** Drops files and goes over to their ground as it is suggested. */
  async dropAndPlan(
    ...files: readonly (readonly [name: string, bytes: Uint8Array])[]
  ): Promise<void> {
    await this.drop(...files)
    await this.planOnThis()
  }

  /** Goes over to the ground of the sheet that is open. */
  async planOnThis(): Promise<void> {
    await this.page.getByRole('button', { name: 'Plan on this ground' }).click()
    await expect(this.page.locator('.opening')).toHaveCount(0)
  }
}

/** A test with the window open on the demo site; no error may show up in it unasked. */
export const test = base.extend<{ colsight: ColsightWindow }, { server: WindowServer }>({
  server: [
    // eslint-disable-next-line no-empty-pattern -- the runner reads the names in this pattern
    async ({}, use) => {
      await buildIfStale()
      const server = await serveWindow(windowFolder, 0, new FolderStore(storeFolder))
      await use(server)
      await server.close()
    },
    { scope: 'worker' },
  ],
  colsight: [
    async ({ page, server }, use) => {
      // What the last test left behind is not offered to the next.
      rmSync(storeFolder, { recursive: true, force: true })
      const window = new ColsightWindow(page)
      await window.start(server.url)
      await use(window)
      expect(window.problems).toEqual([])
    },
    { auto: true },
  ],
})
test.skip(!HAS_CHROMIUM, 'skipped: no chromium')

export { expect }
