import { mkdir } from 'node:fs/promises'
import { join } from 'node:path'
import {
  computeClearHeights,
  type ClearHeights,
  type CoverageSettings,
  type Sector,
} from '../../core/coverage/clearHeights'
import { classAt, type CoverageClass } from '../../core/coverage/shares'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { LatLon } from '../../core/geodesy/earth'
import type { RadioSettings } from '../../core/propagation/path'
import { writeFileAtomically } from '../node/atomicWrite'
import type { TerrainGrid } from '../../core/terrain/grid'
import { inSharedMemory, openNodePool } from '../node/sweepThreads'
import { readTerrainFile } from '../node/terrainFile'
import { coveragePicture } from './coveragePicture'

/** Starting threads takes longer than sweeping fewer cells than this on one. */
const CELLS_WORTH_THREADS = 6_000_000

export interface CoverageOptions {
  readonly terrain: string
  readonly launch: LatLon
  readonly antennaHeight: number
  readonly flyingHeight: number
  readonly radio: RadioSettings
  readonly radiusKm: number | null
  readonly sector: Sector | null
  readonly out: string
  readonly json: boolean
}

/** The `coverage` command: writes its files and returns what it prints. */
export async function coverageCommand(options: CoverageOptions): Promise<string> {
  const clock = new StageClock()
  const terrain = await readTerrainFile(options.terrain)
  clock.endStage('read')
  const fields = await computeInParallel(terrain, {
    launch: options.launch,
    antennaHeightM: options.antennaHeight,
    radio: options.radio,
    radiusM: options.radiusKm === null ? null : options.radiusKm * 1000,
    sector: options.sector,
  })
  const counts = countClasses(fields, options.flyingHeight)
  clock.endStage('compute')
  await mkdir(options.out, { recursive: true })
  const picture = await coveragePicture(terrain, fields, counts, options)
  clock.endStage('paint')
  const files = {
    sight: join(options.out, 'sight.tif'),
    fresnel: join(options.out, 'fresnel.tif'),
    picture: join(options.out, 'coverage.png'),
  }
  await writeFileAtomically(files.sight, writeGeoTiff(fields.sightM, terrain))
  await writeFileAtomically(files.fresnel, writeGeoTiff(fields.fresnelM, terrain))
  await writeFileAtomically(files.picture, picture)
  clock.endStage('write')

  const answered = counts.fresnelClear + counts.sightOnly + counts.blocked
  const summary = {
    terrain: terrain.name,
    grid: {
      cols: terrain.cols,
      rows: terrain.rows,
      cell_m: terrain.cellM,
      west_m: terrain.westM,
      north_m: terrain.northM,
      origin: terrain.origin,
    },
    crs: { name: terrain.crs.name, epsg: terrain.crs.epsg },
    launch: {
      lat: fields.launch.latDeg,
      lon: fields.launch.lonDeg,
      ground_m: fields.launch.groundM,
      antenna_amsl_m: fields.launch.antennaAmslM,
    },
    flying_height_m: options.flyingHeight,
    frequency_mhz: options.radio.frequencyMhz,
    k_factor: options.radio.kFactor,
    fresnel_fraction: options.radio.fresnelFraction,
    radius_km: options.radiusKm,
    sector: options.sector && {
      azimuth_deg: options.sector.azimuthDeg,
      width_deg: options.sector.widthDeg,
    },
    cells: answered,
    cells_without_answer: fields.sightM.length - answered,
    share_in_sight: (counts.fresnelClear + counts.sightOnly) / answered,
    share_fresnel_clear: counts.fresnelClear / answered,
    seconds: clock.seconds,
    files,
  }
  if (options.json) return JSON.stringify(summary)
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`
  return [
    `Terrain        ${terrain.name}, ${terrain.cols} x ${terrain.rows} cells of ${terrain.cellM} m, ${terrain.crs.name} (${terrain.origin})`,
    `In sight       ${percent(summary.share_in_sight)} of ${answered} cells at ${options.flyingHeight} m above ground`,
    `Fresnel-clear  ${percent(summary.share_fresnel_clear)}`,
    ...(summary.cells_without_answer > 0
      ? [
          `No answer      ${summary.cells_without_answer} cells: no terrain data there or on the way, or outside radius or sector`,
        ]
      : []),
    `Written        ${Object.values(files).join(', ')}`,
    `Seconds        ${Object.entries(clock.seconds)
      .map(([stage, seconds]) => `${stage} ${seconds.toFixed(2)}`)
      .join(', ')}`,
    'Terrain models miss trees, wires and buildings; a prediction is no promise.',
  ].join('\n')
}

/** Both fields, by all cores where the terrain is large enough to be worth starting them. */
async function computeInParallel(
  terrain: TerrainGrid,
  settings: CoverageSettings,
): Promise<ClearHeights> {
  if (terrain.heights.length < CELLS_WORTH_THREADS) return computeClearHeights(terrain, settings)
  const { pool, close } = openNodePool()
  try {
    await pool.setGround({ ...terrain, heights: inSharedMemory(terrain.heights) })
    return await computeClearHeights(terrain, settings, { pool })
  } finally {
    await close()
  }
}

function countClasses(
  { sightM, fresnelM }: ClearHeights,
  flyingHeightM: number,
): Record<CoverageClass, number> {
  const counts = { fresnelClear: 0, sightOnly: 0, blocked: 0 }
  for (let i = 0; i < sightM.length; i++) {
    const found = classAt(sightM[i], fresnelM[i], flyingHeightM)
    if (found) counts[found]++
  }
  return counts
}

/** Seconds by stage, in the order the stages end. */
class StageClock {
  readonly seconds: Record<string, number> = {}
  private last = performance.now()

  endStage(name: string): void {
    const now = performance.now()
    this.seconds[name] = Number(((now - this.last) / 1000).toFixed(3))
    this.last = now
  }
}
