import { wrap } from 'comlink'
import type { FieldPair } from '../../core/coverage/sweepThread'
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

/** Counts the classes of finished fields in a thread. */
export async function countClasses(fields: FieldPair): Promise<ClearCounts> {
  return ClearCounts.revive(await threads[0].count(fields))
}

/** The same values in memory that the threads can share; as they are where none can be. */
export function inSharedMemory(values: Float32Array): Float32Array {
  if (!crossOriginIsolated) return values
  const copy = new Float32Array(new SharedArrayBuffer(values.byteLength))
  copy.set(values)
  return copy
}
