import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { access, constants, mkdtemp } from 'node:fs/promises'
import { delimiter, join } from 'node:path'
import { tmpdir } from 'node:os'
import open from 'open'

/** Browsers that show a page as a window of its own when started with --app. */
const APP_WINDOW_BROWSERS = ['chromium', 'chromium-browser', 'google-chrome', 'microsoft-edge']

/** How the window came up, for the line that is printed; null where there is no way to show it. */
export type Shown = 'its own window' | 'the browser' | null

/** Shows the address: as a window of its own where the browser can, else as a page. */
export async function showWindow(url: string): Promise<Shown> {
  if (process.platform === 'linux' && !process.env.DISPLAY && !process.env.WAYLAND_DISPLAY) {
    return null
  }
  for (const name of APP_WINDOW_BROWSERS) {
    const path = await findOnPath(name)
    if (path && (await startAppWindow(path, url))) return 'its own window'
  }
  try {
    const child = await open(url)
    const failed = once(child, 'error').then(() => true)
    const settled = new Promise<boolean>((resolve) => setTimeout(() => resolve(false), 500))
    return (await Promise.race([failed, settled])) || (child.exitCode ?? 0) !== 0
      ? null
      : 'the browser'
  } catch {
    return null
  }
}

/** Starts an app window; true when it is still there after a moment or ended well. */
async function startAppWindow(path: string, url: string): Promise<boolean> {
  const profile = await mkdtemp(join(tmpdir(), 'colsight-window-'))
  const flags = [`--app=${url}`, `--user-data-dir=${profile}`, '--no-first-run']
  const child = spawn(path, flags, { stdio: 'ignore', detached: true })
  child.unref()
  const ended = new Promise<boolean>((resolve) => {
    child.once('error', () => resolve(false))
    child.once('exit', (code) => resolve(code === 0))
  })
  const stays = new Promise<boolean>((resolve) => setTimeout(() => resolve(true), 1500))
  return Promise.race([ended, stays])
}

async function findOnPath(name: string): Promise<string | null> {
  for (const folder of (process.env.PATH ?? '').split(delimiter)) {
    const path = join(folder, name)
    try {
      await access(path, constants.X_OK)
      return path
    } catch {
      // Not in this folder.
    }
  }
  return null
}
