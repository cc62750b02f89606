import { spawn } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { Command, CommanderError, InvalidArgumentError } from 'commander'
import { showWindow } from './browser/openBrowser'
import { serveWindow } from './browser/server'
import { buildIfStale } from './build'
import { projectFolder, windowFolder } from './node/paths'

const BAD_USAGE = 2
/** Longest wait for Electron's binary to be fetched, milliseconds. */
const FETCH_TIMEOUT_MS = 120_000

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
    .option('--port <number>', 'port of the browser host (default: any free one)', portNumber, 0)
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
  if (open && !browser) {
    const binary = await electronBinary()
    if (binary) {
      spawn(binary, [projectFolder], { stdio: 'inherit' }).on('exit', (code) => {
        process.exitCode = code ?? 1
      })
      return
    }
    console.log('Electron’s binary is not here and cannot be fetched; using the browser instead.')
  }
  const server = await serveWindow(windowFolder, port)
  console.log(`Colsight is at ${server.url} (stop with Ctrl+C)`)
  if (open && !(await showWindow(server.url))) {
    console.log('No display or browser was found; open the address above in one.')
  }
}

/** Path of Electron's binary, fetched once where that is possible; null where it is not. */
async function electronBinary(): Promise<string | null> {
  const folder = dirname(createRequire(import.meta.url).resolve('electron/package.json'))
  const binary = () => {
    try {
      const path = join(folder, 'dist', readFileSync(join(folder, 'path.txt'), 'utf8'))
      return existsSync(path) ? path : null
    } catch {
      return null
    }
  }
  if (!binary()) {
    const install = spawn(process.execPath, [join(folder, 'install.js')], {
      stdio: 'ignore',
      timeout: FETCH_TIMEOUT_MS,
    })
    await new Promise((resolve) => install.on('exit', resolve).on('error', resolve))
  }
  return binary()
}

try {
  await start(parseOptions())
} catch (error) {
  if (error instanceof CommanderError) {
    process.exitCode = error.exitCode === 0 ? 0 : BAD_USAGE
  } else {
    console.error(error instanceof Error ? error.message : error)
    process.exitCode = 1
  }
}
