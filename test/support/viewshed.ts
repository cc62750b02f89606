import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fromFile } from 'geotiff'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { TerrainGrid } from '../../core/terrain/grid'
import { temporaryFolder } from './places'

/** GDAL's viewshed program on a terrain, from a cell: antenna 2 m, aircraft at a flying height. */
export class Viewshed {
  private readonly folder = temporaryFolder()
  private readonly options: string[]
  private readonly view = join(this.folder, 'view.tif')

  constructor(terrain: TerrainGrid, col: number, row: number, flyingHeightM: number) {
    const [packed, dem] = ['packed', 'dem'].map((name) => join(this.folder, `${name}.tif`))
    writeFileSync(packed, writeGeoTiff(terrain.heights, terrain))
    // Unpacked, so that its time is not spent on that.
    execFileSync('gdal_translate', ['-q', packed, dem])
    const east = String(terrain.westM + (col + 0.5) * terrain.cellM)
    const north = String(terrain.northM - (row + 0.5) * terrain.cellM)
    this.options = [
      // Curvature coefficient 0.75: refraction of a 4/3 Earth.
      ...['-q', '-md', '0', '-cc', '0.75', '-oz', '2', '-tz', String(flyingHeightM)],
      ...['-ox', east, '-oy', north, dem, this.view],
    ]
  }

  run(): void {
    execFileSync('gdal_viewshed', this.options)
  }

  /** What the last run found, above 0 where the aircraft is seen. */
  async seen(): Promise<ArrayLike<number>> {
    const image = await (await fromFile(this.view)).getImage()
    return image.readRasters({ interleave: true })
  }
}
