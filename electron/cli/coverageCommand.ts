import { mkdir } from 'node:fs/promises'
import { join } from 'node:path'
import {
  aboveGround,
  computeClearHeights,
  prepareSweep,
  type ClearHeights,
  type CoverageSettings,
  type Sector,
} from '../../core/coverage/clearHeights'
import type { ClearFields } from '../../core/coverage/radialSweep'
import type { SweepGround } from '../../core/coverage/fan'
import { saying } from '../../core/words/say'
import { COVERAGE_CLASSES, NO_CLASS, type CoverageClass } from '../../core/coverage/shares'
import { likelyKind } from '../../core/coverage/uncertainty'
import { PICTURE_NAME, pictureSidecars } from '../../core/exchange/georeference'
import { classRaster, shadingPolygons } from '../../core/exchange/shadingFiles'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import type { LatLon } from '../../core/geodesy/earth'
import type { RadioSettings } from '../../core/propagation/path'
import type { Surface } from '../../core/surface/surface'
import { writeFileAtomically } from '../node/atomicWrite'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { geometryOf, sweepForPaths } from '../../core/coverage/pathField'
import { SweepPool } from '../../core/coverage/sweepPool'
import { eirpDbm, LinkGains } from '../../core/radio/budget'
import { linkWarnings, type Link } from '../../core/radio/link'
import { marginClass } from '../../core/radio/margin'
import { linearCase } from '../../core/radio/pathBudget'
import { inSharedMemory, openNodePool } from '../node/sweepThreads'
import { coveragePicture, shadingPicture } from './coveragePicture'
import { readLinkFile } from './linkFile'
import { readSurface, type SurfaceOptions } from './surface'
import { readTerrain, type TerrainOptions } from './terrain'

/** Starting threads takes longer than sweeping fewer cells than this on one. */
const CELLS_WORTH_THREADS = 6_000_000

/** What can be written besides the fields and the picture. */
export const EXTRAS = ['shading', 'polygons'] as const
export type Extra = (typeof EXTRAS)[number]

export interface CoverageOptions extends TerrainOptions, SurfaceOptions {
  readonly launch: LatLon
  readonly antennaHeight: number
  readonly flyingHeight: number
  readonly radio: RadioSettings
  readonly radiusKm: number | null
  readonly sector: Sector | null
  /** Vertical error of the terrain, metres; null for the usual one of its kind. */
  readonly uncertainty: number | null
  readonly also: readonly Extra[]
  /** Path of a link file. */
  readonly link?: string
  readonly out: string
  readonly json: boolean
}

/** The `coverage` command: writes its files and returns what it prints. */
export async function coverageCommand(options: CoverageOptions): Promise<string> {
  const clock = new StageClock()
  const terrain = await readTerrain(options)
  const surface = await readSurface(terrain, options)
  clock.endStage('read')
  const link = options.link ? await readLinkFile(options.link) : null
  const { fields, margin } = await computeInParallel(terrain, surface, options, link, {
    launch: options.launch,
    antennaHeightM: options.antennaHeight,
    radio: options.radio,
    radiusM: options.radiusKm === null ? null : options.radiusKm * 1000,
    sector: options.sector,
    clearingM: options.clearing,
  })
  const errorM = options.uncertainty ?? likelyKind(terrain.cellM).errorM
  const classes = classRaster(fields, options.flyingHeight, errorM)
  const counts = countClasses(classes)
  clock.endStage('compute')
  await mkdir(options.out, { recursive: true })
  const picture = await coveragePicture(terrain, fields, counts, options, errorM)
  clock.endStage('paint')
  const files: Record<string, string> = {}
  const write = async (what: string, name: string, content: Uint8Array) => {
    files[what] = join(options.out, name)
    await writeFileAtomically(files[what], content)
  }
  await write('sight', 'sight.tif', writeGeoTiff(aboveGround(fields.sightM), terrain))
  await write('fresnel', 'fresnel.tif', writeGeoTiff(aboveGround(fields.fresnelM), terrain))
  await write('picture', 'coverage.png', picture)
  if (margin) await write('margin', 'margin.tif', writeGeoTiff(margin, terrain))
  if (options.also.includes('shading')) {
    const png = await shadingPicture(terrain, fields, options.flyingHeight, errorM)
    await write('shading', `${PICTURE_NAME}.png`, png)
    for (const [ending, text] of Object.entries(pictureSidecars(terrain))) {
      await writeFileAtomically(join(options.out, PICTURE_NAME + ending), encode(text))
    }
  }
  if (options.also.includes('polygons')) {
    const areas = shadingPolygons(classes, terrain, options.flyingHeight)
    await write('polygons', `${PICTURE_NAME}.geojson`, encode(JSON.stringify(areas)))
  }
  clock.endStage('write')

  const answered = Object.values(counts).reduce((sum, count) => sum + count, 0)
  const [inSight, fresnelClear] = countNominal(fields, options.flyingHeight)
  const notes = radiusNotes(terrain, options)
  const summary = {
    terrain: terrain.name,
    grid: {
      cols: terrain.cols,
      rows: terrain.rows,
      cell_m: terrain.cellM,
      west_m: terrain.westM,
      north_m: terrain.northM,
      origin: saying(terrain.origin),
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
    share_in_sight: inSight / answered,
    share_fresnel_clear: fresnelClear / answered,
    terrain_error_m: errorM,
    shares_with_error: {
      fresnel_clear: counts.fresnelClear / answered,
      fresnel_uncertain: counts.fresnelUncertain / answered,
      sight_only: counts.sightOnly / answered,
      sight_uncertain: counts.sightUncertain / answered,
      blocked: counts.blocked / answered,
    },
    vegetation_m: options.vegetation,
    tree_line_m: options.treeLine ?? null,
    clearing_m: options.clearing,
    surface_model: options.surface ?? null,
    obstacles: options.obstacles ?? null,
    ...(link && margin ? { link: marginSummary(link, margin) } : {}),
    notes,
    seconds: clock.seconds,
    files,
  }
  if (options.json) return JSON.stringify(summary)
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`
  return [
    `Terrain        ${terrain.name}, ${terrain.cols} x ${terrain.rows} cells of ${terrain.cellM} m, ${terrain.crs.name} (${saying(terrain.origin)})`,
    `In sight       ${percent(summary.share_in_sight)} of ${answered} cells at ${options.flyingHeight} m above ground`,
    `Fresnel-clear  ${percent(summary.share_fresnel_clear)}`,
    `Uncertain      sight ${percent(summary.shares_with_error.sight_uncertain)}, Fresnel ${percent(summary.shares_with_error.fresnel_uncertain)} more, with a terrain error of ${errorM} m carried along the path`,
    ...(summary.cells_without_answer > 0
      ? [
          `No answer      ${summary.cells_without_answer} cells: no terrain data there or on the way, or outside radius or sector`,
        ]
      : []),
    `Written        ${Object.values(files).join(', ')}`,
    `Seconds        ${Object.entries(clock.seconds)
      .map(([stage, seconds]) => `${stage} ${seconds.toFixed(2)}`)
      .join(', ')}`,
    ...(summary.link
      ? [
          `Link           ${summary.link.name}: margin wanted on ${percent(summary.link.share_comfortable)}, some on ${percent(summary.link.share_thin)}, none on ${percent(summary.link.share_lost)}`,
        ]
      : []),
    ...notes,
    'Terrain models miss trees, wires and buildings; a prediction is no promise.',
  ].join('\n')
}

/** Says where the radius asks for more than the terrain has. */
function radiusNotes(terrain: TerrainGrid, { launch, radiusKm }: CoverageOptions): string[] {
  const locator = new GridLocator(terrain)
  const borderKm = locator.toBorderM(locator.toGrid(launch)) / 1000
  return radiusKm === null || radiusKm <= borderKm
    ? []
    : [
        `The radius of ${radiusKm} km reaches past the terrain, which ends ${borderKm.toFixed(1)} km from the launch point; beyond there is no answer.`,
      ]
}

interface Results {
  readonly fields: ClearHeights
  /** Margin of the link over each cell, dB; null without a link. */
  readonly margin: Float32Array | null
}

/** Everything, by all cores where the terrain is large enough to be worth starting them. */
async function computeInParallel(
  terrain: TerrainGrid,
  surface: Surface,
  { flyingHeight }: CoverageOptions,
  link: Link | null,
  settings: CoverageSettings,
): Promise<Results> {
  const isLarge = terrain.heights.length >= CELLS_WORTH_THREADS
  const { pool, close } = isLarge
    ? openNodePool()
    : { pool: SweepPool.local(), close: async () => {} }
  try {
    const ground = isLarge ? sharedGround(terrain, surface) : { ...terrain, ...surface }
    await pool.setGround(ground)
    const fields = await computeClearHeights(terrain, settings, { pool, surface })
    if (!link) return { fields, margin: null }
    const { frequencyMhz } = link
    const { sweep, northRad } = prepareSweep(terrain, settings)
    const itsSweep = sweepForPaths(sweep, frequencyMhz)
    const itsFields = itsSweep === sweep ? fields : await pool.sweep(itsSweep, {})
    const polarisation = linearCase(link.branches[0].antenna.polarisation)
    const task = { settings: itsSweep, frequencyMhz, polarisation, heightM: flyingHeight, northRad }
    const [{ lossDb }] = await pool.paths([{ task, fields: itsFields }], {})
    const gains = new LinkGains(link)
    const margin = lossDb.map((loss, cell) => {
      if (Number.isNaN(loss)) return NaN
      const { azimuthDeg, elevationDeg } = geometryOf(ground, task, cell)
      return gains.fixedDb + gains.netDb(azimuthDeg, elevationDeg) - loss
    })
    return { fields, margin }
  } finally {
    await close()
  }
}

function marginSummary(link: Link, margin: Float32Array) {
  const counts = [0, 0, 0]
  for (const db of margin) if (!Number.isNaN(db)) counts[marginClass(db, link.fadeMarginDb)]++
  const all = counts[0] + counts[1] + counts[2]
  return {
    name: link.name,
    frequency_mhz: link.frequencyMhz,
    eirp_dbm: eirpDbm(link),
    fade_margin_db: link.fadeMarginDb,
    share_comfortable: counts[0] / all,
    share_thin: counts[1] / all,
    share_lost: counts[2] / all,
    warnings: linkWarnings(link),
  }
}

/** Terrain and surface in memory that threads can share; what is one array stays one. */
function sharedGround(terrain: TerrainGrid, { bare, covered }: Surface): SweepGround {
  const heights = inSharedMemory(terrain.heights)
  const sharedBare = bare === terrain.heights ? heights : inSharedMemory(bare)
  const sharedCovered = covered === bare ? sharedBare : inSharedMemory(covered)
  return { ...terrain, heights, bare: sharedBare, covered: sharedCovered }
}

function countClasses(classes: Uint8Array): Record<CoverageClass, number> {
  const counts = {
    fresnelClear: 0,
    fresnelUncertain: 0,
    sightOnly: 0,
    sightUncertain: 0,
    blocked: 0,
  }
  for (const index of classes) if (index !== NO_CLASS) counts[COVERAGE_CLASSES[index]]++
  return counts
}

/** Cells in sight and Fresnel-clear, the terrain taken as exact. */
function countNominal({ sightM, fresnelM }: ClearFields, flyingHeightM: number): [number, number] {
  let [inSight, fresnelClear] = [0, 0]
  for (let i = 0; i < sightM.length; i++) {
    if (sightM[i] <= flyingHeightM) inSight++
    if (fresnelM[i] <= flyingHeightM) fresnelClear++
  }
  return [inSight, fresnelClear]
}

function encode(text: string): Uint8Array {
  return new TextEncoder().encode(text)
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
