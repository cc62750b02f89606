import { wrap } from 'comlink'
import type { SweepSettings } from '../../core/coverage/fan'
import { sweepForPaths, type PathRequest } from '../../core/coverage/pathField'
import { SweepPool } from '../../core/coverage/sweepPool'
import type { SweepThread } from '../../core/coverage/sweepThread'
import { bareGround } from '../../core/surface/surface'
import { middleOfEach } from './measure'

/** What the bench hands to the page. */
export interface MarginWork {
  readonly heightsUrl: string
  readonly threadUrl: string
  readonly cols: number
  readonly rows: number
  readonly settings: SweepSettings
  readonly turns: number
}

/** Milliseconds, the middle ones: both fields, path losses of one link, of both together. */
export async function marginTimes(work: MarginWork): Promise<number[]> {
  const { heightsUrl, threadUrl, cols, rows, settings, turns } = work
  const bytes = await (await fetch(heightsUrl)).arrayBuffer()
  const heights = new Float32Array(new SharedArrayBuffer(bytes.byteLength))
  heights.set(new Float32Array(bytes))
  const workers = Array.from(
    { length: (globalThis as any).N ?? navigator.hardwareConcurrency },
    () => new Worker(threadUrl, { type: 'module' }),
  )
  const log: Record<string, number[]> = ((globalThis as any).LOG = {})
  const timed = (t: any) => new Proxy({}, { get: (_, name: string) => async (...args: any[]) => { const b = performance.now(); const r = await t[name](...args); (log[name] ??= []).push(performance.now() - b); return r } }) as any
  const pool = new SweepPool(
    workers.map((worker) => timed(wrap<SweepThread>(worker))),
    true,
  )
  const grid = { heights, cols, rows }
  await pool.setGround({ ...grid, ...bareGround(grid) })
  const links: PathRequest[] = []
  for (const frequencyMhz of [5800, 868]) {
    const itsSettings = sweepForPaths(settings, frequencyMhz)
    const task = {
      settings: itsSettings,
      frequencyMhz,
      heightM: 60,
      northRad: 0,
      polarisation: 'horizontal' as const,
    }
    links.push({ task, fields: await pool.sweep(itsSettings, {}) })
  }
  return middleOfEach(turns, [
    async () => pool.recycle(await pool.sweep(settings, {})),
    () => pool.paths(links.slice(0, 1), {}),
    () => pool.paths(links, {}),
  ])
}
