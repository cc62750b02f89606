import { randomUUID } from 'node:crypto'
import { stat } from 'node:fs/promises'
import { basename } from 'node:path'
import { z } from 'zod'
import type { Store } from '../../core/host'
import type { FileIdentity } from '../../core/terrain/fingerprint'
import type { TerrainSource } from '../../core/terrain/source'
import { readSidecars } from '../node/sidecars'
import { APP_ORIGIN, TERRAIN_FOLDER } from './channels'

/** Where the paths of files opened before are kept, and how many. */
const STORE_NAME = 'terrain-paths'
const MOST_PATHS = 2000
const pathsSchema = z.array(z.string())

/**
 * The files the pilot has chosen, in this session and before. The window learns a name and an
 * address with a random token, never a path, and can read nothing that was not chosen.
 */
export class TerrainShelf {
  private readonly paths = new Map<string, string>()

  constructor(private readonly store: Store) {}

  /** Takes in files the pilot chose, each with the texts beside it that say where it lies. */
  async putAll(paths: readonly string[]): Promise<TerrainSource[]> {
    const known = await this.knownPaths()
    const kept = [...new Set([...paths, ...known])].slice(0, MOST_PATHS)
    await this.store.write(STORE_NAME, JSON.stringify(kept)).catch(() => undefined)
    return Promise.all(paths.map((path) => this.put(path)))
  }

  /** Files chosen before, by name and size; null where one of them is not there any more. */
  async find(files: readonly FileIdentity[]): Promise<TerrainSource[] | null> {
    const known = await this.knownPaths()
    const found: string[] = []
    for (const { name, sizeBytes } of files) {
      const namesakes = known.filter((path) => basename(path) === name)
      const sizes = await Promise.all(namesakes.map(sizeOf))
      const at = sizes.indexOf(sizeBytes)
      if (at < 0) return null
      found.push(namesakes[at])
    }
    return found.length > 0 ? Promise.all(found.map((path) => this.put(path))) : null
  }

  pathOf(token: string): string | undefined {
    return this.paths.get(token)
  }

  private async put(path: string): Promise<TerrainSource> {
    const token = randomUUID()
    this.paths.set(token, path)
    const url = `${APP_ORIGIN}/${TERRAIN_FOLDER}${token}`
    return { name: basename(path), url, beside: await readSidecars(path) }
  }

  private async knownPaths(): Promise<string[]> {
    try {
      return pathsSchema.parse(JSON.parse((await this.store.read(STORE_NAME)) ?? '[]'))
    } catch {
      return []
    }
  }
}

async function sizeOf(path: string): Promise<number> {
  return stat(path).then(
    (entry) => (entry.isFile() ? entry.size : -1),
    () => -1,
  )
}
