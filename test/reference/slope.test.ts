import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { groundShape } from '../../core/landing/slope'
import { readTerrainFile } from '../../electron/node/terrainFile'
import {
  DEMO_TERRAIN,
  isInstalled,
  NO_SHARED_TERRAIN,
  SAN_GABRIEL_UTM,
  temporaryFolder,
} from '../support/places'

const HAS_GDALDEM = isInstalled('gdaldem')

test.skipIf(!HAS_GDALDEM).each([
  ['the demo massif', DEMO_TERRAIN],
  [SAN_GABRIEL_UTM ? 'the San Gabriel mountains' : NO_SHARED_TERRAIN, SAN_GABRIEL_UTM],
])(
  HAS_GDALDEM
    ? 'slope of %s within 0.01 degree of gdaldem slope (Horn)'
    : 'skipped: gdaldem is not installed (%s)',
  async (_, path) => {
    if (!path) return
    const file = join(temporaryFolder(), 'slope.tif')
    execFileSync('gdaldem', ['slope', path, file, '-q'])
    const [terrain, theirs] = [await readTerrainFile(path), await readTerrainFile(file)]
    const { cols, rows, cellM, heights } = terrain
    const { slopeDeg } = groundShape(heights, cols, rows, cellM)
    let worst = 0
    for (let row = 1; row < rows - 1; row++) {
      for (let col = 1; col < cols - 1; col++) {
        const i = row * cols + col
        const off = Math.abs(slopeDeg[i] - theirs.heights[i])
        if (off > worst) worst = off
      }
    }
    expect(worst).toBeLessThan(0.01)
  },
)
