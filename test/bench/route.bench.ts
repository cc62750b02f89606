import { chromium, type Page } from 'playwright'
import { serveWindow } from '../../electron/browser/server'
import { FolderStore } from '../../electron/node/folderStore'
import { buildIfStale } from '../../electron/build'
import { windowFolder } from '../../electron/node/paths'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { Flyer } from '../../core/energy/flight'
import { returnShares } from '../../core/energy/returnArea'
import { writePlan } from '../../core/plan/planFile'
import { CHROMIUM, HAS_CHROMIUM } from '../support/chromium'
import { longPlan } from '../support/longRoute'
import { DEMO_TERRAIN, temporaryFolder } from '../support/places'
import { groundOf, sweepAll } from '../support/sweepAll'
import { bestOf, report } from './measure'

const FRAME_MS = 1000 / 30
const EXACT_MS = 150
const AREA_MS = 500
const LAUNCH = { latDeg: 41.20183, lonDeg: 166.32166 }

/** Editing a long route, and the area of return, against what is promised. */
export async function routeBench(): Promise<void> {
  const terrain = await readTerrainFile(DEMO_TERRAIN)
  const plan = longPlan(terrain, LAUNCH)
  const { settings } = sweepAll(terrain, { col: 560, row: 466 })
  const area = await bestOf(6, () =>
    returnShares(groundOf(terrain), settings, 0, 500, new Flyer(plan), 60),
  )
  report('area of return over 1000 x 1000 cells', area, { what: 'the promised', ms: AREA_MS })
  if (!HAS_CHROMIUM) {
    console.log('no chromium: editing a route not measured')
    return
  }
  await buildIfStale()
  const server = await serveWindow(windowFolder, 0, new FolderStore(temporaryFolder()))
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] })
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } })
  await page.goto(server.url)
  await page.waitForFunction(() =>
    /%/.test(document.querySelector('.legend-share')?.textContent ?? ''),
  )
  const { frames, exact } = await dragWaypoint(page, writePlan({ plan, terrain: null }))
  const at95 = frames[Math.floor(frames.length * 0.95)]
  report('frame while a waypoint of 200 is dragged, median', frames[frames.length >> 1], {
    what: 'a frame of 30 a second',
    ms: FRAME_MS,
  })
  report('the same, at 95 %', at95, { what: 'a frame of 30 a second', ms: FRAME_MS })
  report('corridor exact again after a move of the hand, median', exact[exact.length >> 1], {
    what: 'the promised',
    ms: EXACT_MS,
  })
  report('the same, worst', exact[exact.length - 1], { what: 'the promised', ms: EXACT_MS })
  await browser.close()
  await server.close()
}

/** Times of frames and of exact corridors while the hand moves one waypoint. */
async function dragWaypoint(
  page: Page,
  plan: string,
): Promise<{ frames: number[]; exact: number[] }> {
  await page.locator('.section > summary', { hasText: 'Plan file' }).click()
  const chooser = page.waitForEvent('filechooser')
  await page.getByRole('button', { name: 'Open plan…' }).click()
  const buffer = Buffer.from(plan)
  await (await chooser).setFiles({ name: 'long.geojson', mimeType: 'application/json', buffer })
  await page.waitForFunction(() => document.querySelectorAll('.waypoint').length === 200)
  await page.waitForTimeout(3000)
  const marker = await page.locator('.waypoint span').nth(180).boundingBox()
  if (!marker) throw new Error('no waypoint in view')
  await page.evaluate(() => {
    // A named function would ask for a helper of the bundler that the page does not have.
    const shared = window as unknown as {
      frames: number[]
      exact: number[]
      movedAt: number
      tick: (now: number) => void
    }
    Object.assign(shared, { frames: [], exact: [], movedAt: 0 })
    let last = performance.now()
    shared.tick = (now) => {
      shared.frames.push(now - last)
      last = now
      requestAnimationFrame(shared.tick)
    }
    requestAnimationFrame(shared.tick)
    document.addEventListener('mousemove', () => (shared.movedAt = performance.now()), true)
    // The note of a rough corridor goes when the exact one is there.
    new MutationObserver(() => {
      const isRough = document.querySelector('[data-rough="true"]') !== null
      if (!isRough && shared.movedAt > 0) {
        shared.exact.push(performance.now() - shared.movedAt)
        shared.movedAt = 0
      }
    }).observe(document.querySelector('.bottom')!, {
      subtree: true,
      attributes: true,
      attributeFilter: ['data-rough'],
    })
  })
  const [x, y] = [marker.x + marker.width / 2, marker.y + marker.height / 2]
  await page.mouse.move(x, y)
  await page.mouse.down()
  for (let step = 1; step <= 60; step++) {
    await page.mouse.move(x + 1.5 * step, y - step)
    await page.waitForTimeout(step % 5 === 0 ? 250 : 16)
  }
  await page.mouse.up()
  const found = await page.evaluate(() => {
    const { frames, exact } = window as unknown as { frames: number[]; exact: number[] }
    return { frames, exact }
  })
  const sorted = (values: number[]) => [...values].sort((a, b) => a - b)
  return { frames: sorted(found.frames.slice(2)), exact: sorted(found.exact) }
}
