import { spawn, type ChildProcess } from 'node:child_process'
import { access, constants } from 'node:fs/promises'
import { delimiter, join } from 'node:path'
import open from 'open'

/** Browsers that show a page as a window of its own when started with --app. */
const APP_WINDOW_BROWSERS = ['chromium', 'chromium-browser', 'google-chrome', 'microsoft-edge']

/** A program still running after this has come up, milliseconds. */
const SETTLED_MS = 2500

/**
 * Shows the address: as a window of its own where the browser can, else as a page.
 * @param profile folder of that window: those of one profile know of each other
 * @returns false where there is no way to show it
 */
export async function showWindow(url: string, profile: string): Promise<boolean> {
  if (!hasDisplay()) return false
  for (const name of APP_WINDOW_BROWSERS) {
    const path = await findOnPath(name)
    if (path && (await startAppWindow(path, url, profile))) return true
  }
  try {
    return await staysOrEndsWell(await open(url))
  } catch {
    return false
  }
}

/** False on a Linux machine without a graphical session. */
export function hasDisplay(): boolean {
  const { DISPLAY, WAYLAND_DISPLAY } = process.env
  return process.platform !== 'linux' || Boolean(DISPLAY || WAYLAND_DISPLAY)
}

/** Starts an app window; true when it came up. */
async function startAppWindow(path: string, url: string, profile: string): Promise<boolean> {
  const flags = [
    `--app=${url}`,
    `--user-data-dir=${profile}`,
    '--no-first-run',
    '--window-size=1440,900',
  ]
  // Chromium refuses to start for root with its sandbox on.
  if (process.getuid?.() === 0) flags.push('--no-sandbox')
  const child = spawn(path, flags, { stdio: 'ignore', detached: true })
  child.unref()
  return staysOrEndsWell(child)
}

/** False when a program cannot start or fails within a moment. */
export async function staysOrEndsWell(child: ChildProcess): Promise<boolean> {
  const ended = new Promise<boolean>((resolve) => {
    child.once('error', () => resolve(false))
    child.once('exit', (code) => resolve(code === 0))
  })
  const stays = new Promise<boolean>((resolve) => setTimeout(() => resolve(true), SETTLED_MS))
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
