import type { SweepSettings } from '../../core/coverage/fan'
import { sweepForPaths, type PathRequest } from '../../core/coverage/pathField'
import type { SweepPool } from '../../core/coverage/sweepPool'

/**
 * Works on the ground of a pool to be timed by turns: both clear-height fields, path losses of one
 * link, of video and control together. As in the window, what is no longer shown is written over.
 */
export async function marginWorks(
  pool: SweepPool,
  settings: SweepSettings,
): Promise<(() => Promise<void>)[]> {
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
  return [
    async () => pool.recycle(await pool.sweep(settings, {})),
    async () => pool.recyclePaths(await pool.paths(links.slice(0, 1), {})),
    async () => pool.recyclePaths(await pool.paths(links, {})),
  ]
}
