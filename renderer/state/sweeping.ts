import { wrap } from 'comlink'
import type { Horizon } from '../../core/coverage/horizon'
import type { ClearFields } from '../../core/coverage/radialSweep'
import type { SweepSettings } from '../../core/coverage/fan'
import { ClearCounts } from '../../core/coverage/shares'
import { SweepPool } from '../../core/coverage/sweepPool'
import type { WindowThread } from '../workers/sweep.worker'

/** More threads than this would only share one memory bus. */
const MOST_THREADS = 8

const threads = Array.from(
  { length: Math.max(1, Math.min(MOST_THREADS, navigator.hardwareConcurrency)) },
  () =>
    wrap<WindowThread>(
      new Worker(new URL('../workers/sweep.worker.ts', import.meta.url), { type: 'module' }),
    ),
)

/** The window's threads, as many as the machine has cores. */
export const pool = new SweepPool(threads, crossOriginIsolated)

/** The thread for work on finished fields, while none is swept; the last, as the first is busiest. */
export const fieldThread = threads[threads.length - 1]

let queue: Promise<unknown> = Promise.resolve()

/** Runs jobs that need the whole pool one after the other. */
export function withPool<T>(job: () => Promise<T>): Promise<T> {
  const result = queue.then(job)
  queue = result.catch(() => undefined)
  return result
}

let paths = new AbortController()

/** The controller of a path computation that begins now. */
export function pathsUnderWay(): AbortController {
  return (paths = new AbortController())
}

/** Stops a path computation under way: something newer is wanted. */
export function interruptPaths(): void {
  paths.abort()
}

/** Counts the classes of finished fields in a thread. */
export async function countClasses(fields: ClearFields, errorM: number): Promise<ClearCounts> {
  return ClearCounts.revive(await fieldThread.count(fields, errorM))
}

/** The horizon over the ground that the pool has. */
export function lookAround(settings: SweepSettings, northRad: number): Promise<Horizon> {
  return threads[0].horizon(settings, northRad)
}
