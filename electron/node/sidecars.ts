import { readFile, stat } from 'node:fs/promises'
import { extname } from 'node:path'
import type { Sidecars } from '../../core/terrain/source'

/** A text beside a terrain longer than this is none of its own. */
const MAX_SIDECAR_BYTES = 64 * 1024

/** The texts beside a TIFF that say where it lies. */
export async function readSidecars(path: string): Promise<Sidecars> {
  const stem = path.slice(0, path.length - extname(path).length)
  const firstOf = async (...endings: string[]) => {
    for (const ending of endings) {
      const beside = `${stem}.${ending}`
      const entry = await stat(beside).catch(() => null)
      if (entry?.isFile() && entry.size <= MAX_SIDECAR_BYTES) return readFile(beside, 'utf8')
    }
    return undefined
  }
  return {
    worldFile: await firstOf('tfw', 'TFW', 'tifw', 'wld'),
    projection: await firstOf('prj', 'PRJ'),
  }
}
