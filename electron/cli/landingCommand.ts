import { writeFile } from 'node:fs/promises'
import type { CoverageSettings } from '../../core/coverage/clearHeights'
import { PilotError } from '../../core/errors'
import type { LatLon } from '../../core/geodesy/earth'
import { findAreas, type GroundArea, type LandingLimits } from '../../core/landing/areas'
import { levelGround } from '../../core/landing/flatGround'
import {
  groundMargin,
  pictureShares,
  soonestOnFoot,
  type PictureShares,
} from '../../core/landing/landing'
import { outlineOf, runBearingDeg } from '../../core/landing/landingArea'
import { groundShape } from '../../core/landing/slope'
import {
  checkStart,
  measureWay,
  unwalkable,
  walkFrom,
  wayTo,
  type WalkSettings,
} from '../../core/landing/walk'
import type { RadioSettings } from '../../core/propagation/path'
import { cellIndex, GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { groundPictures } from '../node/groundPictures'
import { readLinkFile } from './linkFile'
import { readSurface, type SurfaceOptions } from './surface'
import { readTerrain, type TerrainOptions } from './terrain'

export interface LandingOptions extends TerrainOptions, SurfaceOptions {
  readonly launch: LatLon
  readonly antennaHeight: number
  readonly radio: RadioSettings
  readonly limits: LandingLimits
  readonly walk: WalkSettings
  /** Where walking begins; the launch point if not given. */
  readonly roadHead?: LatLon
  /** Path of a link file: margins at the ground are worked out. */
  readonly link?: string
  /** Path of a GeoJSON file to write. */
  readonly geojson?: string
  readonly json: boolean
}

/** The `landing-areas` command: returns what it prints. */
export async function landingCommand(options: LandingOptions): Promise<string> {
  const { launch, antennaHeight, radio, limits, walk } = options
  const terrain = await readTerrain(options)
  const { clearingM, ...surface } = await readSurface(terrain, options)
  const { heights, cols, rows } = terrain
  const locator = new GridLocator(terrain)
  const cellM = locator.groundCellM({ col: cols / 2, row: rows / 2 })
  const level = levelGround(heights, cols, cellM)
  const shape = groundShape(heights, cols, rows, cellM)
  const ground = { ...terrain, ...surface }
  const { areas } = findAreas(ground, shape, level, null, cellM, limits)

  const start = cellIndex(terrain, locator.toGrid(options.roadHead ?? launch))
  // Where nobody can set out the areas are told all the same.
  const walkProblem = sentenceOf(() =>
    checkStart(start, options.roadHead ? 'road head' : 'launch point', heights, level),
  )
  const out = unwalkable(level, shape.slopeDeg, walk)
  const field = walkProblem === null ? walkFrom(heights, cols, rows, start, out, cellM, walk) : null

  const settings = {
    launch,
    antennaHeightM: antennaHeight,
    radio,
    radiusM: null,
    sector: null,
    clearingM,
  }
  const pictures = await picturesOf(options, terrain, ground, settings, areas)
  const found = areas.map((area, i): Found => {
    const foot = field && soonestOnFoot(area, field)
    const way = field && foot && wayTo(field, cols, foot.cell)
    return {
      area,
      picture: pictures[i],
      at: locator.toLatLon({ col: area.middle % cols, row: Math.floor(area.middle / cols) }),
      runDeg: runBearingDeg(area, terrain, locator),
      walk: foot && way && { timeS: foot.timeS, ...measureWay(way, heights, cols, cellM) },
    }
  })
  found.sort((a, b) => b.picture.fresnel - a.picture.fresnel || b.area.sizeM2 - a.area.sizeM2)
  if (options.geojson) await writeAreas(options.geojson, found, terrain)
  return options.json
    ? JSON.stringify({
        count: found.length,
        walk_problem: walkProblem,
        areas: found.map(areaJson),
      })
    : textOf(found, walkProblem)
}

/** The sentence of something that may refuse; null where it does not. */
function sentenceOf(run: () => void): string | null {
  try {
    run()
    return null
  } catch (error) {
    if (error instanceof PilotError) return error.message
    throw error
  }
}

interface Found {
  readonly area: GroundArea
  readonly at: LatLon
  readonly runDeg: number
  readonly picture: PictureShares
  /** Null where nobody gets on foot. */
  readonly walk: {
    readonly timeS: number
    readonly lengthM: number
    readonly climbM: number
  } | null
}

async function picturesOf(
  { link: linkPath, radio }: LandingOptions,
  terrain: TerrainGrid,
  ground: TerrainGrid & { bare: Float32Array; covered: Float32Array },
  settings: CoverageSettings,
  areas: readonly GroundArea[],
): Promise<PictureShares[]> {
  const link = linkPath ? await readLinkFile(linkPath) : null
  const frequencyMhz = link?.frequencyMhz ?? radio.frequencyMhz
  const tuned = { ...settings, radio: { ...radio, frequencyMhz } }
  const { fields, paths } = await groundPictures(terrain, ground, tuned, link)
  const margin = link && paths && groundMargin(link, paths)
  return areas.map((area) => pictureShares(area, fields, margin))
}

function areaJson({ area, at, runDeg, picture, walk }: Found): object {
  return {
    lat: at.latDeg,
    lon: at.lonDeg,
    elevation_m: area.meanHeightM,
    size_m2: area.sizeM2,
    longest_run_m: area.runM,
    longest_run_deg: runDeg,
    mean_slope_deg: area.meanSlopeDeg,
    picture_at_2_m: {
      share_in_sight: picture.sight,
      share_fresnel_clear: picture.fresnel,
      share_with_margin: picture.margin,
    },
    walk: walk && { time_s: walk.timeS, length_m: walk.lengthM, climb_m: walk.climbM },
  }
}

async function writeAreas(
  path: string,
  found: readonly Found[],
  terrain: TerrainGrid,
): Promise<void> {
  const features = found.map((each) => ({
    type: 'Feature',
    geometry: outlineOf(each.area, terrain),
    properties: areaJson(each),
  }))
  try {
    await writeFile(path, JSON.stringify({ type: 'FeatureCollection', features }))
  } catch (cause) {
    throw new PilotError(
      `"${path}" cannot be written; choose a folder that exists and may be written to.`,
      { cause },
    )
  }
}

/** Areas said in words. */
const MOST_IN_WORDS = 20

function textOf(found: readonly Found[], walkProblem: string | null): string {
  const percent = (share: number) => `${(100 * share).toFixed(0)} %`
  const lines = found.slice(0, MOST_IN_WORDS).map(({ area, at, picture, walk }) => {
    const where = `${at.latDeg.toFixed(5)}, ${at.lonDeg.toFixed(5)}`
    const foot = walk
      ? `${Math.ceil(walk.timeS / 60)} min on foot (${(walk.lengthM / 1000).toFixed(1)} km, ${walk.climbM.toFixed(0)} m up)`
      : walkProblem === null
        ? 'cannot be reached on foot'
        : 'way on foot not known'
    return `${where}: ${area.sizeM2.toFixed(0)} m², ${area.meanSlopeDeg.toFixed(1)}° steep, picture at 2 m: sight ${percent(picture.sight)}, Fresnel ${percent(picture.fresnel)}; ${foot}`
  })
  const more = found.length - lines.length
  return [
    `${found.length} landing areas.`,
    ...(walkProblem === null ? [] : [walkProblem]),
    ...lines,
    ...(more > 0 ? [`And ${more} more; --json lists them all.`] : []),
    'The terrain does not show stones, brush, fences or people: look at each place yourself.',
  ].join('\n')
}
