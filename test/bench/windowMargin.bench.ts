import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { chromium } from 'playwright'
import { build } from 'vite'
import type { SweepSettings } from '../../core/coverage/fan'
import type { TerrainGrid } from '../../core/terrain/grid'
import { serveWindow } from '../../electron/browser/server'
import { buildIfStale } from '../../electron/build'
import { FolderStore } from '../../electron/node/folderStore'
import { windowFolder } from '../../electron/node/paths'
import { CHROMIUM } from '../support/chromium'
import { temporaryFolder } from '../support/places'
import type { MarginWork, marginTimes } from './windowMarginPage'

const HEIGHTS_URL = '/bench/heights'

/** The works of a margin's bench in chromium, by the window's own threads: milliseconds. */
export async function windowMarginTimes(
  { heights, cols, rows }: TerrainGrid,
  settings: SweepSettings,
  turns: number,
): Promise<number[]> {
  await buildIfStale()
  const code = await pageCode()
  const server = await serveWindow(windowFolder, 0, new FolderStore(temporaryFolder()))
  const thread = readdirSync(join(windowFolder, 'assets')).find((name) =>
    name.startsWith('sweep.worker'),
  )
  if (!thread) throw new Error('the window has no thread for sweeps')
  const browser = await chromium.launch({ executablePath: CHROMIUM, args: ['--no-sandbox'] })
  try {
    // The window's own page would sweep beside what is measured: any other of its server will do.
    const page = await (await browser.newContext({ bypassCSP: true })).newPage()
    const body = Buffer.from(heights.buffer, heights.byteOffset, heights.byteLength)
    await page.route(`**${HEIGHTS_URL}`, (route) => route.fulfill({ body }))
    await page.goto(new URL('licences.json', server.url).href)
    await page.addScriptTag({ content: code })
    const threadUrl = `/assets/${thread}`
    return await page.evaluate(
      (work: MarginWork) =>
        (window as unknown as { bench: { marginTimes: typeof marginTimes } }).bench.marginTimes(
          work,
        ),
      { heightsUrl: HEIGHTS_URL, threadUrl, cols, rows, settings, turns },
    )
  } finally {
    await browser.close()
    await server.close()
  }
}

/** What runs in the page, as one script. */
async function pageCode(): Promise<string> {
  const entry = fileURLToPath(new URL('./windowMarginPage.ts', import.meta.url))
  const lib = { entry, formats: ['iife' as const], name: 'bench', fileName: 'bench' }
  const built = await build({ configFile: false, logLevel: 'warn', build: { write: false, lib } })
  const [result] = Array.isArray(built) ? built : [built]
  if (!('output' in result)) throw new Error('the page of the bench was not built')
  return result.output[0].code
}
