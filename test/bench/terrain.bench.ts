import { execFileSync } from 'node:child_process'
import { rmSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { inspectFile } from '../../core/terrain/inspect'
import { lookAt } from '../../core/terrain/look'
import { lookUpCrs } from '../../electron/node/epsg'
import { openTerrainFiles, readTerrainFile } from '../../electron/node/terrainFile'
import { DEMO_TERRAIN, isInstalled, SAN_GABRIEL_UTM, temporaryFolder } from '../support/places'
import { bestOf, report } from './measure'

const RUNS = 5
/** Cells along the edge of a tile of one degree, and of a raster of a gigabyte of floats. */
const TILE = 3601
const GIGABYTE = 16_384
const WINDOW = 10_000

/** Terrain files read, against GDAL's gdal_translate on the same file. */
export async function terrainBench(): Promise<void> {
  if (!isInstalled('gdal_translate')) {
    console.log('gdal_translate is not installed: no terrain files to read')
    return
  }
  const folder = temporaryFolder()
  try {
    await tiles(folder)
    await gigabyte(folder)
    memory(folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** Real ground drawn out to so many cells of a place, by GDAL's cubic kernel. */
function drawnOut(to: string, edge: number, place: readonly string[], ...options: string[]): void {
  const size = ['-outsize', String(edge), String(edge), '-r', 'cubic']
  gdal('gdal_translate', ...size, ...place, ...options, SAN_GABRIEL_UTM ?? DEMO_TERRAIN, to)
}

function gdal(program: string, ...options: string[]): void {
  execFileSync(program, ['-q', ...options])
}

const square = (edge: number, cellM: number) => {
  const corners = [400_000, 4_600_000, 400_000 + edge * cellM, 4_600_000 - edge * cellM]
  return ['-a_srs', 'EPSG:32658', '-a_ullr', ...corners.map(String)]
}
const degree = ['-a_srs', 'EPSG:4326', '-a_ullr', '7.99986', '47.00014', '9.00014', '45.99986']
const packed = (...options: string[]) => options.flatMap((option) => ['-co', option])

async function tiles(folder: string): Promise<void> {
  const [path, raw] = [join(folder, 'tile.tif'), join(folder, 'tile.raw')]
  const kinds = [
    ['Int16, deflate, strips', ['-ot', 'Int16', ...packed('COMPRESS=DEFLATE')]],
    ['Int16, deflate, tiles', ['-ot', 'Int16', ...packed('COMPRESS=DEFLATE', 'TILED=YES')]],
    ['Float32, deflate, predictor 3', ['-ot', 'Float32', ...packed('COMPRESS=DEFLATE', 'PREDICTOR=3')]], // prettier-ignore
  ] as const
  for (const [kind, options] of kinds) {
    drawnOut(path, TILE, square(TILE, 10), ...options)
    const theirs = await bestOf(RUNS, () => gdal('gdal_translate', '-of', 'ENVI', path, raw))
    const ours = await bestOf(RUNS, () => readTerrainFile(path))
    const reference = { what: 'gdal_translate to raw', ms: theirs }
    report(`decode and grid ${TILE} x ${TILE}, ${kind}`, ours, reference)
  }
  drawnOut(path, TILE, degree, ...kinds[0][1])
  const metric = await bestOf(RUNS, () => readTerrainFile(path))
  const warped = await bestOf(1, () =>
    gdal(
      'gdalwarp',
      '-overwrite',
      '-of',
      'ENVI',
      '-r',
      'bilinear',
      '-t_srs',
      'EPSG:32632',
      path,
      raw,
    ),
  )
  const reference = { what: 'gdalwarp, bilinear', ms: warped }
  report(`decode and bring to metres ${TILE} x ${TILE} (promised: 1000 ms)`, metric, reference)
}

async function gigabyte(folder: string): Promise<void> {
  const path = join(folder, 'giant.tif')
  drawnOut(path, GIGABYTE, square(GIGABYTE, 2), '-ot', 'Float32', ...packed('TILED=YES'))
  await glance(path, 'without overviews')
  gdal('gdaladdo', '-r', 'average', path, '2', '4', '8', '16', '32')
  await glance(path, 'with overviews')
}

async function glance(path: string, kind: string): Promise<void> {
  const gigabytes = (statSync(path).size / 1e9).toFixed(2)
  const ms = await bestOf(RUNS, async () => {
    const set = await openTerrainFiles([path])
    await lookAt(set, [await inspectFile(set.files[0])], { lookUpCrs })
  })
  report(`a file of ${gigabytes} GB opened, inspected and seen as a whole, ${kind} (promised: 2000 ms)`, ms) // prettier-ignore
}

/** In a process of its own, so that nothing else is counted. */
function memory(folder: string): void {
  const path = join(folder, 'giant.tif')
  const script = fileURLToPath(new URL('terrainMemory.ts', import.meta.url))
  const options = ['--import', 'tsx', script, path, String(WINDOW)]
  const megabytes = Number(execFileSync(process.execPath, options, { encoding: 'utf8' }))
  console.log(
    `window of ${WINDOW} x ${WINDOW} cells read: ${megabytes.toFixed(0)} MB at the peak of the whole process (promised: 1500)`,
  )
}
