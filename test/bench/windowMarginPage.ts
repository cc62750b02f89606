import { wrap } from 'comlink'
import type { SweepSettings } from '../../core/coverage/fan'
import { SweepPool } from '../../core/coverage/sweepPool'
import type { SweepThread } from '../../core/coverage/sweepThread'
import { marginWorks } from './marginWorks'
import { middleOfEach } from './measure'

export interface MarginWork {
  /** Where the page finds the heights, and the window's own thread. */
  readonly heightsUrl: string
  readonly threadUrl: string
  readonly cols: number
  readonly rows: number
  readonly settings: SweepSettings
  readonly turns: number
}

/** Runs in a page: the middle times of the works, milliseconds. */
export async function marginTimes(work: MarginWork): Promise<number[]> {
  const { heightsUrl, threadUrl, cols, rows, settings, turns } = work
  const bytes = await (await fetch(heightsUrl)).arrayBuffer()
  const heights = new Float32Array(new SharedArrayBuffer(bytes.byteLength))
  heights.set(new Float32Array(bytes))
  // As many as the window takes.
  const threads = Array.from({ length: Math.min(8, navigator.hardwareConcurrency) }, () =>
    wrap<SweepThread>(new Worker(threadUrl, { type: 'module' })),
  )
  const pool = new SweepPool(threads, true)
  await pool.setGround({ heights, bare: heights, covered: heights, cols, rows })
  return middleOfEach(turns, await marginWorks(pool, settings))
}
