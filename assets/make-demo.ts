import { writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { writeGeoTiff } from '../core/exchange/geotiffWriter'
import { makeMassif } from './massif'

/** Writes the demo terrain: the invented massif, set down in the open north-west Pacific. */
const { cols, rows, cellM, heights } = makeMassif()
const target = fileURLToPath(new URL('demo-massif.tif', import.meta.url))
writeFileSync(
  target,
  writeGeoTiff(heights, {
    cols,
    rows,
    cellM,
    westM: 594_000,
    northM: 4_576_000,
    crs: {
      name: 'WGS 84 / UTM zone 58N',
      epsg: 32658,
      definition: '+proj=utm +zone=58 +datum=WGS84 +units=m +no_defs',
    },
  }),
)
console.log(`${target}: ${cols} x ${rows} cells of ${cellM} m`)
