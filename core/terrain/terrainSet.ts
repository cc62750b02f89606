import { PilotError } from '../errors'
import type { CrsLookup } from '../geodesy/crs'
import type { GridFrame, TerrainGrid } from './grid'
import { readOnto } from './mosaic'
import { Sheet } from './sheet'
import { siteFrame, type SiteWish } from './siteFrame'
import type { TerrainFile, WorkOptions } from './terrainFile'
import { say, type Saying } from '../words/say'
import { fillVoids } from './voids'

/** How a site is read. */
export interface ReadOptions extends SiteWish, WorkOptions {
  readonly lookUpCrs: CrsLookup
  /** Voids of up to so many cells are filled. */
  readonly fillUpToCells?: number
  /** Where the heights go, such as memory that workers share. */
  readonly allocate?: (cells: number) => Float32Array
}

/** Share of the progress that reading is; the rest looks over what was read. */
const READING_SHARE = 0.95

/** One or several terrain files as one ground. */
export class TerrainSet {
  readonly sheets: readonly Sheet[]
  readonly name: string

  constructor(readonly files: readonly TerrainFile[]) {
    if (files.length === 0) throw new PilotError(say('terrainSet.noTerrainFileGiven'))
    this.sheets = Sheet.arrange(files)
    const more = files.length - 1
    this.name = files[0].facts.name + (more > 0 ? say('common.more', { more }) : '')
  }

  frame(wish: SiteWish, lookUpCrs: CrsLookup): Promise<GridFrame> {
    return siteFrame(this.sheets, wish, { name: this.name, lookUpCrs })
  }

  /** Reads a site. Throws a PilotError with a sentence where it cannot. */
  async read(options: ReadOptions): Promise<TerrainGrid> {
    const { allocate = (cells) => new Float32Array(cells), onProgress, signal } = options
    const frame = await this.frame(options, options.lookUpCrs)
    const heights = allocate(frame.cols * frame.rows)
    await readOnto(frame, this.sheets, heights, {
      signal,
      onProgress: onProgress && ((share) => onProgress(READING_SHARE * share)),
    })
    if (!heights.some((height) => !Number.isNaN(height))) {
      throw new PilotError(
        options.window
          ? say('terrainSet.holdsNoHeightsWindow', { name: this.name })
          : say('common.holdsNoHeights', { name: this.name }),
      )
    }
    const { fillUpToCells = 0 } = options
    const filled =
      fillUpToCells > 0 ? fillVoids(heights, frame.cols, frame.rows, fillUpToCells) : null
    onProgress?.(1)
    return { ...frame, heights, name: this.name, origin: this.originOf(frame), filled }
  }

  /** How the grid came about, for people. */
  private originOf({ crs, cellM }: GridFrame): Saying {
    const [finest, ...others] = this.sheets
    const { affine } = finest.lattice
    const isOwn = finest.lattice.crs.definition === crs.definition
    const factor = isOwn ? cellM / Math.abs(affine.xCol) : NaN
    const whole = Math.round(factor)
    const own: Saying =
      !isOwn || whole < 1 || Math.abs(factor - whole) > 1e-6 * whole
        ? { key: 'terrainSet.resampled', values: { name: finest.lattice.crs.name } }
        : whole === 1
          ? { key: 'terrainSet.gridFileCellCell' }
          : { key: 'terrainSet.meanXCellsFile', values: { whole } }
    return others.length > 0
      ? { key: 'terrainSet.coarserPutUnder', values: { own, others: others.length } }
      : own
  }
}
