import { spawn } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { Command, CommanderError, InvalidArgumentError } from 'commander'
import { hasDisplay, showWindow, staysOrEndsWell } from './browser/openBrowser'
import { serveWindow } from './browser/server'
import { buildIfStale } from './build'
import { dataFolder, FolderStore } from './node/folderStore'
import { projectFolder, windowFolder } from './node/paths'
import { announceHost, runningHost } from './node/runningHost'

const BAD_USAGE = 2
/** Longest wait for Electron's binary (some 110 MB) to be fetched, milliseconds. */
const FETCH_TIMEOUT_MS = 180_000

interface StartOptions {
  readonly open: boolean
  readonly port: number
  readonly browser?: boolean
}

function parseOptions(): StartOptions {
  return new Command('npm start --')
    .description('Starts Colsight in its desktop window, or in the browser where that is missing.')
    .option('--browser', 'use the browser even where the desktop window is there')
    .option('--no-open', 'serve on loopback and open nothing')
    .option(
      '--port <number>',
      'port of the browser host (default: one that is free)',
      portNumber,
      0,
    )
    .exitOverride()
    .parse()
    .opts<StartOptions>()
}

function portNumber(text: string): number {
  const port = Number(text)
  if (!(Number.isInteger(port) && port >= 0 && port <= 65535)) {
    throw new InvalidArgumentError('It must be a whole number from 0 to 65535.')
  }
  return port
}

async function start({ open, port, browser }: StartOptions): Promise<void> {
  await buildIfStale()
  if (open && !browser && (await startDesktop())) return
  const store = new FolderStore(dataFolder())
  // Two hosts of one store would not hear of each other's changes.
  const running = port === 0 ? await runningHost(store) : null
  const url = running ?? (await serveWindow(windowFolder, port, store)).url
  if (running) console.log(`Colsight is at ${url} already`)
  else {
    await announceHost(store, url).catch(() => undefined)
    console.log(`Colsight is at ${url} (stop with Ctrl+C)`)
  }
  if (open && !(await showWindow(url, join(dataFolder(), 'browser')))) {
    console.log('No display or browser was found; open the address above in one.')
  }
}

/** Starts the desktop window; false, with the reason said, where that is not possible. */
async function startDesktop(): Promise<boolean> {
  // Without a display there is no use in fetching it.
  const binary = electronBinary() ?? (hasDisplay() ? await fetchElectronBinary() : null)
  if (!binary) {
    console.log('Electron’s binary is not here and cannot be fetched; using the browser instead.')
    return false
  }
  if (!hasDisplay()) return false
  const child = spawn(binary, [projectFolder], { stdio: 'inherit' })
  if (await staysOrEndsWell(child)) {
    child.on('exit', (code) => (process.exitCode = code ?? 1))
    return true
  }
  console.log('The desktop window could not start; using the browser instead.')
  return false
}

const electronFolder = dirname(createRequire(import.meta.url).resolve('electron/package.json'))

/** Path of Electron's binary; null where it has not been fetched. */
function electronBinary(): string | null {
  try {
    const name = readFileSync(join(electronFolder, 'path.txt'), 'utf8')
    const path = join(electronFolder, 'dist', name)
    return existsSync(path) ? path : null
  } catch {
    return null
  }
}

/** Has Electron's own installer fetch its binary; null where that does not succeed. */
async function fetchElectronBinary(): Promise<string | null> {
  console.log(
    'Fetching Electron’s binary, this once, up to three minutes (npm start -- --browser does without it)…',
  )
  const install = spawn(process.execPath, [join(electronFolder, 'install.js')], {
    stdio: 'ignore',
    timeout: FETCH_TIMEOUT_MS,
  })
  await new Promise((resolve) => install.on('exit', resolve).on('error', resolve))
  return electronBinary()
}

function sentenceFor(error: unknown): string {
  if (!(error instanceof Error)) return String(error)
  const isTaken = 'code' in error && error.code === 'EADDRINUSE'
  return isTaken
    ? 'That port is in use by another program; choose another, or none.'
    : error.message
}

try {
  await start(parseOptions())
} catch (error) {
  if (error instanceof CommanderError) {
    process.exitCode = error.exitCode === 0 ? 0 : BAD_USAGE
  } else {
    console.error(sentenceFor(error))
    process.exitCode = 1
  }
}
