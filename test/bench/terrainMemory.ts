import { openTerrainFiles, readTerrainFile } from '../../electron/node/terrainFile'
import { LatticeLocator } from '../../core/terrain/lattice'

/** Run on its own: most memory of a process that reads a window of a file, megabytes. */
const [path, cells] = [process.argv[2], Number(process.argv[3])]
const { lattice } = (await openTerrainFiles([path])).files[0]
const edgeM = cells * Math.abs(lattice.affine.xCol)
const centre = new LatticeLocator(lattice).toLatLon(lattice.cols / 2, lattice.rows / 2)
const { cols, rows } = await readTerrainFile(path, {
  window: { centre, eastWestM: edgeM, northSouthM: edgeM },
})
if (Math.min(cols, rows) < 0.99 * cells) throw new Error(`${cols} x ${rows}`)
console.log(process.resourceUsage().maxRSS / 1024)
