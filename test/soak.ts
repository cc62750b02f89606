import { chromium, type Page } from 'playwright'
import { serveWindow } from '../electron/browser/server'
import { buildIfStale } from '../electron/build'
import { FolderStore } from '../electron/node/folderStore'
import { windowFolder } from '../electron/node/paths'
import { writePlan } from '../core/plan/planFile'
import { readTerrainFile } from '../electron/node/terrainFile'
import { CHROMIUM } from './support/chromium'
import { DEMO_TERRAIN, temporaryFolder } from './support/places'
import { flownPlan } from './support/plans'

/**
 * Random use of the window for so many minutes: `npm run soak -- [minutes] [seed]`, an hour by
 * default. Ends with 1 where an error is in the console, memory has grown by more than a fifth, or
 * a frame took longer than 200 ms outside the opening of files. Where this process, which does next
 * to nothing, did not get its turn during such a frame, that is said beside it.
 */
const [minutes = 60, seed = 1] = process.argv.slice(2).map(Number)
const MOST_FRAME_MS = 200
/** This process looks at the clock so often, and a turn so late is noted, milliseconds. */
const [TICK_MS, LATE_MS] = [10, 50]
/** Longest wait for a state that must come, milliseconds. */
const PATIENCE_MS = 30_000
const MOST_GROWTH = 1.2
/** Memory is compared from here on: caches have filled by then. */
const WARM_SHARE = 0.15
const MEMORY_LOOKS = 20
/** One look may meet what is about to go: the median of so many is compared. */
const LOOKS_TOGETHER = 5

interface Frame {
  readonly ms: number
  /** By the clock, milliseconds. */
  readonly endedAt: number
}

let state = seed
const random = () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647
const pick = <T>(all: readonly T[]): T => all[Math.floor(random() * all.length)]

await buildIfStale()
const terrain = await readTerrainFile(DEMO_TERRAIN)
const plans = [1, 2, 4].map((count) => {
  const plan = flownPlan(terrain)
  return writePlan({
    plan: { ...plan, route: { ...plan.route, waypoints: plan.route.waypoints.slice(0, count) } },
    terrain: null,
  })
})
const server = await serveWindow(windowFolder, 0, new FolderStore(temporaryFolder()))
const browser = await chromium.launch({
  executablePath: CHROMIUM,
  args: ['--no-sandbox'],
})
const page = await browser.newPage({ viewport: { width: 1440, height: 900 } })
// What is covered now is tried again another time.
page.setDefaultTimeout(2500)
const problems: string[] = []
page.on('pageerror', (error) => problems.push(error.message))
page.on('console', (message) => {
  if (message.type() === 'error') problems.push(message.text())
})
page.on('dialog', (dialog) => void dialog.accept())
// The runner of this script wraps named functions, also those that are sent to the page.
await page.addInitScript('window.__name = (of) => of')
await page.goto(server.url)
const isShaded = () => /%/.test(document.querySelector('.legend-share')?.textContent ?? '')
await page.waitForFunction(isShaded, undefined, { timeout: PATIENCE_MS })
await page.evaluate(() => {
  const seen = window as Window & { longest?: Frame; isUncounted?: boolean }
  let last = performance.now()
  const tick = (now: number) => {
    const ms = now - last
    if (!seen.isUncounted && ms > (seen.longest?.ms ?? 0))
      seen.longest = { ms, endedAt: Date.now() }
    last = now
    requestAnimationFrame(tick)
  }
  requestAnimationFrame(tick)
})

/** When this process waited for its turn, by the clock. */
const waits: { from: number; to: number }[] = []
let lastTick = Date.now()
const ticking = setInterval(() => {
  const now = Date.now()
  if (now - lastTick > LATE_MS) waits.push({ from: lastTick, to: now })
  lastTick = now
}, TICK_MS)

/** How long this process waited during a frame, milliseconds. */
function waitedMs({ ms, endedAt }: Frame): number {
  const shared = waits.map(({ from, to }) => Math.min(to, endedAt) - Math.max(from, endedAt - ms))
  return shared.reduce((sum, each) => sum + Math.max(0, each), 0)
}

const inspector = await page.context().newCDPSession(page)
await inspector.send('Performance.enable')

/**
 * The page's own heap in one and the same state, once all that is let go is gone, megabytes: the
 * demo as it begins, by its answers, with no path looked at.
 */
async function heapMb(): Promise<number> {
  await ACTIONS.demo(page).catch(() => undefined)
  await page
    .locator(button('At height'))
    .click()
    .catch(() => undefined)
  const isIdle = () => document.querySelectorAll('.work').length === 0
  await page.waitForFunction(isIdle, undefined, { timeout: PATIENCE_MS })
  // Tiles and fields that were shown go a while after.
  await page.waitForTimeout(3000)
  // Collecting the garbage by force holds the window up: that is this script's doing.
  await uncounted(async () => {
    for (let i = 0; i < 3; i++) await inspector.send('HeapProfiler.collectGarbage')
  })
  const { metrics } = await inspector.send('Performance.getMetrics')
  return (metrics.find(({ name }) => name === 'JSHeapUsedSize')?.value ?? 0) / 1e6
}

const map = (await page.locator('.map').boundingBox())!
const spot = () => ({
  x: map.x + map.width * (0.15 + 0.7 * random()),
  y: map.y + map.height * (0.15 + 0.7 * random()),
})
/** By its text: looking all roles up holds the window up, and no user does so. */
const button = (text: string) => `button:text-is("${text}")`
const key = (keys: string) => page.keyboard.press(keys)

/** Frames of this work and of a moment after it do not count. */
async function uncounted(work: () => Promise<unknown>): Promise<void> {
  const mark = (isUncounted: boolean) =>
    page.evaluate(
      (on) => void ((window as Window & { isUncounted?: boolean }).isUncounted = on),
      isUncounted,
    )
  await mark(true)
  try {
    await work()
    await page.waitForTimeout(1500)
  } finally {
    await mark(false)
  }
}

const ACTIONS: Readonly<Record<string, (its: Page) => Promise<unknown>>> = {
  click: async (its) => {
    const { x, y } = spot()
    await its.mouse.click(x, y)
  },
  drag: async (its) => {
    const marker = await its.locator('.marker-launch').boundingBox()
    if (!marker) return
    const to = spot()
    await its.mouse.move(marker.x + marker.width / 2, marker.y + marker.height / 2)
    await its.mouse.down()
    await its.mouse.move(to.x, to.y, { steps: 12 })
    await its.mouse.up()
  },
  zoom: (its) => its.mouse.wheel(0, pick([-240, 240])),
  undo: () => key('Control+z'),
  redo: () => key('Control+Shift+z'),
  height: (its) =>
    its
      .locator('input[type=range]')
      .first()
      .fill(String(10 + Math.floor(random() * 200))),
  layer: (its) =>
    its
      .locator(button(pick(['At height', 'Sight from', 'Fresnel from', 'Signal'])))
      .click({ timeout: 2000 }),
  section: async (its) =>
    its
      .locator('.section > summary')
      .nth(Math.floor(random() * (await its.locator('.section > summary').count())))
      .click(),
  units: (its) => its.locator(button(pick(['m', 'ft']))).click(),
  plan: (its) =>
    uncounted(() =>
      its.evaluate((text) => {
        const data = new DataTransfer()
        data.items.add(new File([text], 'soak.geojson'))
        const drop = new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true })
        document.querySelector('.window')?.dispatchEvent(drop)
      }, pick(plans)),
    ),
  help: async (its) => {
    await its.keyboard.press('F1')
    await its.keyboard.press('Escape')
  },
  demo: (its) => uncounted(() => its.locator(button('Demo site')).click()),
}

const until = Date.now() + minutes * 60_000
const begin = Date.now()
/** Memory at each of the looks. */
const memoryMb: number[] = []
let done = 0
const longest: { ms: number; waited: number; after: string; minute: number }[] = []
while (Date.now() < until) {
  const name = pick(Object.keys(ACTIONS))
  try {
    await ACTIONS[name](page)
  } catch (error) {
    // Something may be covered or gone at this moment; what the page says of itself counts.
    if (!/Timeout|intercepts|detached/.test(String(error))) throw error
  }
  await page.waitForTimeout(60 + 400 * random())
  const frame = await page.evaluate(() => {
    const seen = window as Window & { longest?: Frame }
    const worst = seen.longest
    seen.longest = undefined
    return worst
  })
  if (frame && frame.ms > MOST_FRAME_MS) {
    const minute = (Date.now() - begin) / 60_000
    longest.push({ ms: frame.ms, waited: waitedMs(frame), after: name, minute })
  }
  const share = (Date.now() - begin) / (minutes * 60_000)
  if (share * MEMORY_LOOKS >= memoryMb.length + 1) {
    memoryMb.push(await heapMb())
  }
  done++
}
const median = (values: readonly number[]) =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]
const warm = Math.floor(WARM_SHARE * MEMORY_LOOKS)
const warmMb = median(memoryMb.slice(warm, warm + LOOKS_TOGETHER))
const endMb = median(memoryMb.slice(-LOOKS_TOGETHER))
clearInterval(ticking)
await browser.close()
await server.close()
console.log(`${done} actions in ${minutes} min, seed ${seed}`)
console.log(
  `memory of the page: ${warmMb.toFixed(0)} MB once warm, ${endMb.toFixed(0)} MB at the end`,
)
console.log(`  on the way: ${memoryMb.map((mb) => mb.toFixed(0)).join(' ')} MB`)
console.log(`frames over ${MOST_FRAME_MS} ms: ${longest.length}`)
for (const { ms, waited, after, minute } of longest.slice(0, 10)) {
  const beside = waited > 0 ? `; this process waited for ${waited.toFixed(0)} of them` : ''
  console.log(`  ${ms.toFixed(0)} ms after ${after} in minute ${minute.toFixed(1)}${beside}`)
}
const longestWaitMs = waits.reduce((most, { from, to }) => Math.max(most, to - from), 0)
console.log(
  `this process waited over ${LATE_MS} ms: ${waits.length} times, at most ${longestWaitMs} ms`,
)
console.log(`errors in the console: ${problems.length}`)
for (const problem of problems.slice(0, 10)) console.log(`  ${problem}`)
const isGood = problems.length === 0 && longest.length === 0 && endMb <= warmMb * MOST_GROWTH
process.exit(isGood ? 0 : 1)
