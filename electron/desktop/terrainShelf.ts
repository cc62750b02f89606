import { randomUUID } from 'node:crypto'
import { open } from 'node:fs/promises'
import { basename } from 'node:path'
import { z } from 'zod'
import type { Store } from '../../core/host'
import { fingerprintOf, type FileIdentity } from '../../core/terrain/fingerprint'
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
    await this.remember(paths)
    return Promise.all(paths.map((path) => this.put(path)))
  }

  /** Keeps where files lie, for plans that ask for them. */
  async remember(paths: readonly string[]): Promise<void> {
    const known = await this.knownPaths()
    const kept = [...new Set([...paths, ...known])].slice(0, MOST_PATHS)
    await this.store.write(STORE_NAME, JSON.stringify(kept)).catch(() => undefined)
  }

  /** Files chosen before, by name, size and fingerprint; null where one of them is not there any more. */
  async find(files: readonly FileIdentity[]): Promise<TerrainSource[] | null> {
    const known = await this.knownPaths()
    const found: string[] = []
    for (const file of files) {
      const path = await firstThatIs(
        file,
        known.filter((one) => basename(one) === file.name),
      )
      if (path === null) return null
      found.push(path)
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

/** The first of some files that is the one wanted. */
async function firstThatIs(
  { sizeBytes, fingerprint }: FileIdentity,
  paths: readonly string[],
): Promise<string | null> {
  for (const path of paths) {
    const file = await open(path).catch(() => null)
    if (!file) continue
    try {
      const entry = await file.stat()
      if (!entry.isFile() || entry.size !== sizeBytes) continue
      const read = async (from: number, length: number) => {
        const bytes = new Uint8Array(length)
        await file.read(bytes, 0, length, from)
        return bytes
      }
      if ((await fingerprintOf({ sizeBytes, read })) === fingerprint) return path
    } finally {
      await file.close()
    }
  }
  return null
}
