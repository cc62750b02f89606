import { readFile, stat } from 'node:fs/promises'
import { basename, extname } from 'node:path'
import type { TextFile } from '../../core/host'

/** Files that the system may open with the program. */
const ENDINGS = ['.geojson', '.gpx', '.kml', '.csv']
/** Longer texts are no plan and no log. */
const MOST_BYTES = 200_000_000

/** Paths of such files among the arguments that a program was started with. */
export function filesAmong(args: readonly string[]): string[] {
  return args.filter((arg) => !arg.startsWith('-') && ENDINGS.includes(extname(arg).toLowerCase()))
}

/** A file that the system opened with the program; null where it is none that can be. */
export async function readOpened(path: string): Promise<TextFile | null> {
  if (filesAmong([path]).length === 0) return null
  try {
    const entry = await stat(path)
    if (!entry.isFile() || entry.size > MOST_BYTES) return null
    return { name: basename(path), text: await readFile(path, 'utf8') }
  } catch {
    return null
  }
}
