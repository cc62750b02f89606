import { randomUUID } from 'node:crypto'
import { basename } from 'node:path'
import type { TerrainSource } from '../../core/terrain/geotiff'
import { APP_ORIGIN, TERRAIN_FOLDER } from './channels'

/**
 * The files the pilot has chosen in this session. The window learns a name and an address with
 * a random token, never a path, and can read nothing that was not chosen.
 */
export class TerrainShelf {
  private readonly paths = new Map<string, string>()

  put(path: string): TerrainSource {
    const token = randomUUID()
    this.paths.set(token, path)
    return { name: basename(path), url: `${APP_ORIGIN}/${TERRAIN_FOLDER}${token}` }
  }

  pathOf(token: string): string | undefined {
    return this.paths.get(token)
  }
}
