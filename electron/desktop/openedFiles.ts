import { readFile, stat } from 'node:fs/promises'
import { basename, extname, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { PilotError } from '../../core/errors'
import type { TextFile } from '../../core/host'
import { say } from '../../core/words/say'

/** Files that the system may open with the program. */
const ENDINGS = ['.geojson', '.gpx', '.kml', '.csv']
/** Longer texts are no plan and no log. */
const MOST_BYTES = 200_000_000

export function canBeOpened(path: string): boolean {
  return ENDINGS.includes(extname(path).toLowerCase())
}

/**
 * Paths of such files among the arguments that a program was started with.
 * @param folder the one it was started in
 */
export function filesAmong(args: readonly string[], folder: string): string[] {
  return args.flatMap((arg) => {
    if (arg.startsWith('-')) return []
    // File managers of Linux hand over addresses.
    const path = arg.startsWith('file:') ? pathOfAddress(arg) : arg
    return path !== null && canBeOpened(path) ? [resolve(folder, path)] : []
  })
}

function pathOfAddress(address: string): string | null {
  try {
    return fileURLToPath(address)
  } catch {
    return null
  }
}

/** A text file for the window; throws a PilotError for one that cannot be read. */
export async function readTextFile(path: string): Promise<TextFile> {
  const name = basename(path)
  try {
    const entry = await stat(path)
    if (!entry.isFile()) throw new PilotError(say('desktop.noFile', { name }))
    if (entry.size > MOST_BYTES) throw new PilotError(say('desktop.fileTooLong', { name }))
    return { name, text: await readFile(path, 'utf8') }
  } catch (cause) {
    if (cause instanceof PilotError) throw cause
    throw new PilotError(say('desktop.fileCannotRead', { name, why: reasonOf(cause) }), { cause })
  }
}

/** The system's short word for what went wrong, without the path. */
export function reasonOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : 'error'
}
