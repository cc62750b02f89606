import { createRequire } from 'node:module'
import { readFile } from 'node:fs/promises'
import type { CrsLookup } from '../../core/geodesy/crs'

const require = createRequire(import.meta.url)

/** The EPSG table of the epsg-index package, one small file a code. */
export const lookUpCrs: CrsLookup = async (epsg) => {
  try {
    const path = require.resolve(`epsg-index/s/${epsg}.json`)
    const { name, proj4 } = JSON.parse(await readFile(path, 'utf8')) as EpsgRecord
    return proj4 ? { epsg, name, definition: proj4 } : undefined
  } catch {
    return undefined
  }
}

interface EpsgRecord {
  name: string
  proj4: string | null
}
