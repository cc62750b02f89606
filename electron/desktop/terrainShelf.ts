import { randomUUID } from 'node:crypto'
import { stat } from 'node:fs/promises'
import { basename } from 'node:path'
import { z } from 'zod'
import type { Store } from '../../core/host'
import { fingerprintOf, type FileIdentity } from '../../core/terrain/fingerprint'
import type { TerrainSource } from '../../core/terrain/source'
import { fileBytes } from '../node/fileBytes'
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

  /** Files chosen before, by name, size and fingerprint; null where one of them has gone. */
  async find(files: readonly FileIdentity[]): Promise<TerrainSource[] | null> {
    const known = await this.knownPaths()
    const found: string[] = []
    for (const file of files) {
      let at: string | null = null
      for (const path of known) {
        if (basename(path) !== file.name || !(await isFile(path, file))) continue
        at = path
        break
      }
      if (at === null) return null
      found.push(at)
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

async function isFile(path: string, { sizeBytes, fingerprint }: FileIdentity): Promise<boolean> {
  try {
    const entry = await stat(path)
    if (!entry.isFile() || entry.size !== sizeBytes) return false
    return (await fingerprintOf(fileBytes(path, sizeBytes))) === fingerprint
  } catch {
    return false
  }
}
