import { effect } from '@preact/signals'
import type { RouteWorker } from '../workers/route.worker'
import { surface } from './surface'
import { terrain } from './terrain'
import { beginThread } from './threads'

/** Air columns are shared out over so many threads; one core is left to the window. */
const THREADS = Math.max(1, Math.min(4, navigator.hardwareConcurrency - 1))

/** Threads for work along the route, beside those of the coverage. */
export const routeThreads = Array.from({ length: THREADS }, () =>
  beginThread<RouteWorker>(
    new Worker(new URL('../workers/route.worker.ts', import.meta.url), { type: 'module' }),
  ),
)

/** The last has least to do. */
export const spareRouteThread = routeThreads[routeThreads.length - 1]

effect(() => {
  const [grid, stands] = [terrain.value, surface.value]
  if (!grid || !stands) return
  // Messages of one worker keep their order, so whatever is asked next meets this site.
  for (const thread of routeThreads) void thread.setSite(grid, stands)
})
