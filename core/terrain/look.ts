import { PilotError } from '../errors'
import type { CrsLookup } from '../geodesy/crs'
import type { LatLon } from '../geodesy/earth'
import { GridLocator, type GridFrame, type TerrainGrid } from './grid'
import type { FileReport } from './inspect'
import { spread } from './lattice'
import { readOnto } from './mosaic'
import { middleOf, type SiteWish } from './siteFrame'
import type { WorkOptions } from './terrainFile'
import { say } from '../words/say'
import type { TerrainSet } from './terrainSet'

/** What terrain files are and show, before a site is cut out of them. */
export interface TerrainLook {
  readonly name: string
  /** The files that were looked into. */
  readonly files: readonly FileReport[]
  /** How many there are. */
  readonly fileCount: number
  /** All of the ground in few cells. */
  readonly overview: TerrainGrid
  /** Working cell of a site where none is wished for, metres: the finest there is. */
  readonly finestCellM: number
  /** The site to begin with. */
  readonly suggestion: SiteWish
}

/** Cells of the overview along its longer side. */
const OVERVIEW_CELLS = 480
/** A site of up to so many cells is taken whole; around larger ones a window is suggested. */
const WHOLE_CELLS = 25_000_000
/** The window suggested: as far as such aircraft fly, there and around. */
const WINDOW_M = 20_000

/**
 * Looks at a set of files.
 * @param files those of them that were looked into
 */
export async function lookAt(
  set: TerrainSet,
  files: readonly FileReport[],
  {
    lookUpCrs,
    around,
    signal,
    onProgress,
  }: WorkOptions & { lookUpCrs: CrsLookup; around?: LatLon },
): Promise<TerrainLook> {
  const isAll = files.length === set.files.length
  if (isAll && files.every(({ isSample, missingShare }) => !isSample && missingShare === 1)) {
    throw new PilotError(say('common.holdsNoHeights', { name: set.name }))
  }
  const frame = overviewFrame(set)
  const heights = new Float32Array(frame.cols * frame.rows)
  await readOnto(frame, set.sheets, heights, {
    signal,
    isRough: true,
    onProgress,
  })
  const middle = around ?? middleOf(set.sheets)
  const small = { centre: middleOf(set.sheets), eastWestM: 100, northSouthM: 100 }
  const { cellM: finestCellM } = await set.frame({ window: small }, lookUpCrs)
  return {
    name: set.name,
    files,
    fileCount: set.files.length,
    overview: { ...frame, heights, name: set.name, origin: { key: 'look.overview' } },
    finestCellM,
    suggestion: await suggest(set, lookUpCrs, finestCellM, middle),
  }
}

/** A frame of few cells around everything, true to scale at its middle parallel. */
function overviewFrame({ sheets }: TerrainSet): GridFrame {
  const middle = middleOf(sheets)
  const crs = {
    name: 'overview',
    epsg: null,
    definition: `+proj=eqc +lat_ts=${middle.latDeg} +lat_0=0 +lon_0=${middle.lonDeg} +datum=WGS84 +units=m +no_defs`,
  }
  const plane = new GridLocator({ cols: 1, rows: 1, cellM: 1, westM: -0.5, northM: 0.5, crs })
  let [west, east, south, north] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const { lattice, locator } of sheets) {
    for (const [col, row] of spread(lattice)) {
      const place = plane.toGrid(locator.toLatLon(col, row))
      west = Math.min(west, place.col)
      east = Math.max(east, place.col)
      north = Math.max(north, -place.row)
      south = Math.min(south, -place.row)
    }
  }
  const cellM = Math.max(east - west, north - south) / OVERVIEW_CELLS
  const [cols, rows] = [(east - west) / cellM, (north - south) / cellM].map((cells) =>
    Math.max(2, Math.ceil(cells)),
  )
  return { cols, rows, cellM, westM: west, northM: north, crs }
}

/** Everything where that is no more than a window's worth; else a window in cells that fit. */
async function suggest(
  set: TerrainSet,
  lookUpCrs: CrsLookup,
  cellM: number,
  centre: LatLon,
): Promise<SiteWish> {
  const whole = await set.frame({}, lookUpCrs).catch(() => null)
  if (whole && whole.cols * whole.rows <= WHOLE_CELLS) return {}
  const window = { centre, eastWestM: WINDOW_M, northSouthM: WINDOW_M }
  let factor = 1
  while ((WINDOW_M / (cellM * factor)) ** 2 > WHOLE_CELLS) factor++
  return factor === 1 ? { window } : { window, cellM: cellM * factor }
}
