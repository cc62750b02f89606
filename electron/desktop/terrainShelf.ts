import { randomUUID } from 'node:crypto'
import { basename } from 'node:path'
import type { TerrainSource } from '../../core/terrain/source'
import { readSidecars } from '../node/sidecars'
import { APP_ORIGIN, TERRAIN_FOLDER } from './channels'

/**
 * The files the pilot has chosen in this session. The window learns a name and an address with
 * a random token, never a path, and can read nothing that was not chosen.
 */
export class TerrainShelf {
  private readonly paths = new Map<string, string>()

  /** Takes in a file and the texts beside it that say where it lies. */
  async put(path: string): Promise<TerrainSource> {
    const token = randomUUID()
    this.paths.set(token, path)
    const url = `${APP_ORIGIN}/${TERRAIN_FOLDER}${token}`
    return { name: basename(path), url, beside: await readSidecars(path) }
  }

  pathOf(token: string): string | undefined {
    return this.paths.get(token)
  }
}
