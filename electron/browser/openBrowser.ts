import { spawn, type ChildProcess } from 'node:child_process'
import { access, constants, mkdtemp } from 'node:fs/promises'
import { delimiter, join } from 'node:path'
import { tmpdir } from 'node:os'
import open from 'open'

/** Browsers that show a page as a window of its own when started with --app. */
const APP_WINDOW_BROWSERS = ['chromium', 'chromium-browser', 'google-chrome', 'microsoft-edge']

/** A program still running after this has come up, milliseconds. */
const SETTLED_MS = 2500

/** How the window came up, for the line that is printed; null where there is no way to show it. */
export type Shown = 'its own window' | 'the browser' | null

/** Shows the address: as a window of its own where the browser can, else as a page. */
export async function showWindow(url: string): Promise<Shown> {
  if (!hasDisplay()) return null
  for (const name of APP_WINDOW_BROWSERS) {
    const path = await findOnPath(name)
    if (path && (await startAppWindow(path, url))) return 'its own window'
  }
  try {
    const child = await open(url)
    return (await staysOrEndsWell(child)) ? 'the browser' : null
  } catch {
    return null
  }
}

/** False on a Linux machine without a graphical session. */
export function hasDisplay(): boolean {
  const { DISPLAY, WAYLAND_DISPLAY } = process.env
  return process.platform !== 'linux' || Boolean(DISPLAY ?? WAYLAND_DISPLAY)
}

/** Starts an app window; true when it came up. */
async function startAppWindow(path: string, url: string): Promise<boolean> {
  const profile = await mkdtemp(join(tmpdir(), 'colsight-window-'))
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
