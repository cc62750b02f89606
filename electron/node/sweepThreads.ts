import { createRequire } from 'node:module'
import { availableParallelism } from 'node:os'
import { dirname, join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { Worker } from 'node:worker_threads'
import { wrap } from 'comlink'
import nodeEndpoint from 'comlink/dist/esm/node-adapter.mjs'
import { SweepPool } from '../../core/coverage/sweepPool'
import type { SweepThread } from '../../core/coverage/sweepThread'

export interface NodePool {
  readonly pool: SweepPool
  /** Ends the threads. */
  close(): Promise<void>
}

/** A pool of as many threads as the machine has cores, on shared memory. */
export function openNodePool(threads = availableParallelism()): NodePool {
  const workers = Array.from({ length: threads }, startWorker)
  return {
    pool: new SweepPool(
      workers.map((worker) => wrap<SweepThread>(nodeEndpoint(worker))),
      true,
    ),
    close: async () => void (await Promise.all(workers.map((worker) => worker.terminate()))),
  }
}

/** A thread that runs TypeScript, as all code under Node here does. */
function startWorker(): Worker {
  // The package's file for `import`; resolve() would find the one for require().
  const tsxFolder = dirname(createRequire(import.meta.url).resolve('tsx/package.json'))
  const tsx = pathToFileURL(join(tsxFolder, 'dist/esm/api/index.mjs')).href
  const worker = new URL('./sweepWorker.ts', import.meta.url).href
  const boot = `import(${JSON.stringify(tsx)}).then(({ register }) => {
    register()
    return import(${JSON.stringify(worker)})
  })`
  return new Worker(boot, { eval: true })
}

/** The same values in memory that threads can share. */
export function inSharedMemory(values: Float32Array): Float32Array {
  const copy = new Float32Array(new SharedArrayBuffer(values.byteLength))
  copy.set(values)
  return copy
}
