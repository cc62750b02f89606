import { wrap } from 'comlink'
import type { Horizon } from '../../core/coverage/horizon'
import type { ClearFields } from '../../core/coverage/radialSweep'
import type { SweepGround, SweepSettings } from '../../core/coverage/fan'
import { ClearCounts } from '../../core/coverage/shares'
import { SweepPool } from '../../core/coverage/sweepPool'
import type { WindowThread } from '../workers/sweep.worker'
import { watched } from './threads'

/** More threads than this would only share one memory bus. */
const MOST_THREADS = 8

const threads = Array.from(
  { length: Math.max(1, Math.min(MOST_THREADS, navigator.hardwareConcurrency)) },
  () =>
    wrap<WindowThread>(
      watched(
        new Worker(new URL('../workers/sweep.worker.ts', import.meta.url), { type: 'module' }),
      ),
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

let longJob: AbortController | null = null

/** Names the job under way that makes way for a new coverage; null when it has ended. */
export function setLongJob(job: AbortController | null): void {
  longJob = job
}

/** Stops such a job: the pool is wanted now. */
export function interruptLongJob(): void {
  longJob?.abort()
}

let groundOfPool: SweepGround | null = null

/** Gives the threads a ground, unless they have it; to be called inside a job. */
export async function useGround(ground: SweepGround): Promise<void> {
  if (groundOfPool?.covered === ground.covered && groundOfPool.bare === ground.bare) return
  await pool.setGround(ground)
  groundOfPool = ground
}

/** Counts the classes of finished fields in a thread. */
export async function countClasses(fields: ClearFields, errorM: number): Promise<ClearCounts> {
  return ClearCounts.revive(await fieldThread.count(fields, errorM))
}

/** The horizon over the ground that the pool has. */
export function lookAround(settings: SweepSettings, northRad: number): Promise<Horizon> {
  return threads[0].horizon(settings, northRad)
}
