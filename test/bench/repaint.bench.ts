import { chromium, type Locator, type Page } from 'playwright'
import { serveWindow } from '../../electron/browser/server'
import { temporaryFolder } from '../support/places'
import { FolderStore } from '../../electron/node/folderStore'
import { buildIfStale } from '../../electron/build'
import { windowFolder } from '../../electron/node/paths'
import { CHROMIUM, HAS_CHROMIUM } from '../support/chromium'
import { report } from './measure'

/** One frame of a screen that shows 30 a second. */
const FRAME_MS = 1000 / 30

/** From a move of the hand to the shares of the new coverage, while the launch point is dragged. */
async function dragLatencies(page: Page): Promise<{ median: number; worst: number }> {
  const marker = await page.locator('.marker-launch').boundingBox()
  if (!marker) throw new Error('no launch point')
  await page.evaluate(() => {
    const shared = window as unknown as { moved: number; latencies: number[] }
    shared.latencies = []
    document.addEventListener('mousemove', () => (shared.moved = performance.now()), true)
    new MutationObserver(() => {
      if (shared.moved > 0) shared.latencies.push(performance.now() - shared.moved)
      shared.moved = 0
    }).observe(document.querySelector('.legend')!, { subtree: true, characterData: true })
  })
  const [x, y] = [marker.x + marker.width / 2, marker.y + marker.height / 2]
  await page.mouse.move(x, y)
  await page.mouse.down()
  for (let step = 1; step <= 12; step++) {
    await page.mouse.move(x + 14 * step, y - 9 * step)
    await page.waitForTimeout(400)
  }
  await page.mouse.up()
  const latencies = await page.evaluate(
    () => (window as unknown as { latencies: number[] }).latencies,
  )
  latencies.sort((a, b) => a - b)
  return { median: latencies[latencies.length >> 1], worst: latencies[latencies.length - 1] }
}

/** From a key in a field to the frame that shows all tiles painted anew, each time it is pressed. */
async function repaintTimes(field: Locator, times: number): Promise<number[]> {
  const found: number[] = []
  for (let time = 0; time < times; time++) {
    found.push(
      await field.evaluate(async (input) => {
        const canvas = CanvasRenderingContext2D.prototype
        const put = canvas.putImageData
        let shown = NaN
        canvas.putImageData = function (...args: unknown[]) {
          requestAnimationFrame(() => (shown = performance.now()))
          put.apply(this, args as Parameters<typeof put>)
        }
        const start = performance.now()
        input.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowUp', bubbles: true }))
        // Whatever is painted later than this is over the promise many times.
        await new Promise((resolve) => setTimeout(resolve, 400))
        canvas.putImageData = put
        return shown - start
      }),
    )
  }
  return found.sort((a, b) => a - b)
}

/** Start of the window and the repaint while the height slider moves, in chromium. */
export async function repaintBench(): Promise<void> {
  if (!HAS_CHROMIUM) {
    console.log('no chromium: start and repaint not measured')
    return
  }
  await buildIfStale()
  const server = await serveWindow(windowFolder, 0, new FolderStore(temporaryFolder()))
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] })
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } })
  const starts: number[] = []
  for (let run = 0; run < 3; run++) {
    const start = performance.now()
    await page.goto(server.url)
    await page.waitForFunction(() =>
      /%/.test(document.querySelector('.legend-share')?.textContent ?? ''),
    )
    starts.push(performance.now() - start)
  }
  report('start to first shading on the demo, 1440 x 900', Math.min(...starts), {
    what: 'the promised 3 s',
    ms: 3000,
  })
  await page.waitForTimeout(1500)
  const frames = await page.evaluate(async () => {
    const slider = document.querySelector<HTMLInputElement>('input[type=range]')
    if (!slider) throw new Error('no slider')
    const times: number[] = []
    for (let height = 20; height < 200; height += 3) {
      const start = performance.now()
      slider.value = String(height)
      slider.dispatchEvent(new Event('input', { bubbles: true }))
      // The repaint is done when the next frame has been made.
      await new Promise((resolve) => requestAnimationFrame(() => setTimeout(resolve)))
      times.push(performance.now() - start)
    }
    return times.sort((a, b) => a - b)
  })
  const at = (share: number) => frames[Math.floor(share * (frames.length - 1))]
  report('slider to new frame, median', at(0.5), { what: 'a frame at 30 a second', ms: FRAME_MS })
  report('slider to new frame, 95 %', at(0.95), { what: 'a frame at 30 a second', ms: FRAME_MS })
  const drags = await dragLatencies(page)
  report('launch point dragged to new coverage, 1000 x 1000 cells of 30 m, median', drags.median, {
    what: 'the promised 100 ms',
    ms: 100,
  })
  report('the same, worst of 12', drags.worst, { what: 'the promised 100 ms', ms: 100 })
  await page.getByRole('button', { name: 'Signal', exact: true }).click()
  await page.locator('.section > summary', { hasText: 'Video link' }).click()
  await page.waitForTimeout(1500)
  const link = page.locator('.section', { hasText: 'Video link' }).first()
  for (const [label, field] of [
    ['power', link.getByLabel('Power').first()],
    ['azimuth', link.getByLabel('Azimuth').last()],
  ] as const) {
    const times = await repaintTimes(field, 12)
    const promise = { what: 'the promised 50 ms', ms: 50 }
    report(`${label} to new shading of the signal, median`, times[6], promise)
    report('the same, worst of 12', times[11], promise)
  }
  await browser.close()
  await server.close()
}
