import type { GeoTIFFImage } from 'geotiff'
import { PilotError, throwIfCancelled } from '../errors'
import type { CrsLookup } from '../geodesy/crs'
import { fingerprintOf, type FileIdentity } from './fingerprint'
import { NoCrs, readFileCrs, type GeoKeys } from './fileCrs'
import { factorOf, heightUnitOf, metadataOf, noDataOf, NoHeightUnit } from './heightMetadata'
import type { Lattice } from './lattice'
import { placementOf, refuseOffTheMap } from './placement'
import { openBytes, type ByteSource, type Sidecars, type TerrainSource } from './source'
import { TiffBytes } from './tiffBytes'
import { directoriesOf, levelsOf, openTiff, type Level } from './tiffLevels'
import { Unreadable, type CellWindow, type TiffRaster, type Values } from './tiffRaster'
import { say } from '../words/say'
import { PACKINGS } from './unpack'

/** What the pilot says of files that do not say it themselves. */
export interface Assumptions {
  /** Code of the coordinate system, where the file names none. */
  readonly epsg?: number
  /** Metres in a unit of its heights, where the file does not state it. */
  readonly heightUnitM?: number
  /** Values, as the file holds them, to be taken as missing. */
  readonly missing?: readonly number[]
}

export interface OpenOptions {
  readonly lookUpCrs: CrsLookup
  readonly assume?: Assumptions
  readonly signal?: AbortSignal
}

export interface WorkOptions {
  readonly signal?: AbortSignal
  /** Called with the share done, 0 to 1. */
  readonly onProgress?: (share: number) => void
}

/** What a file says of itself. */
export interface FileFacts extends FileIdentity {
  /** Kind of its values, such as Int16. */
  readonly valueType: string
  readonly packing: string
  /** How many coarser copies it carries. */
  readonly overviews: number
  readonly bands: number
  readonly noData: number | null
  readonly hasMask: boolean
  /** Metres in a unit of height. */
  readonly heightUnitM: number
  readonly heightsName: string | null
}

/** No ground lies this far from sea level, up or down; -9999 and its like do. */
const NO_GROUND_M = 9000
/** A file of heights, opened: its place and its facts are known, its heights are read by window. */
export class TerrainFile {
  private constructor(
    readonly facts: FileFacts,
    readonly lattice: Lattice,
    /** The file's own scale first, then coarser ones. */
    private readonly levels: readonly Level[],
    private readonly scale: number,
    private readonly offset: number,
    private readonly missing: readonly number[],
    /** Values between which ground may lie, as the file holds them. */
    private readonly range: readonly [lowest: number, highest: number],
  ) {}

  /** Opens a GeoTIFF. Throws a PilotError with a sentence for every file it cannot use. */
  static async open(source: TerrainSource, options: OpenOptions): Promise<TerrainFile> {
    return TerrainFile.fromBytes(await openBytes(source), source, options)
  }

  static async fromBytes(
    bytes: ByteSource,
    { name, beside }: { name: string; beside?: Sidecars },
    { lookUpCrs, assume = {}, signal }: OpenOptions,
  ): Promise<TerrainFile> {
    const tiffBytes = new TiffBytes(bytes)
    return orSentence(name, signal, async () => {
      const tiff = await openTiff(tiffBytes, name)
      const [first, ...others] = await directoriesOf(tiff)
      const metadata = await metadataOf(first)
      const levels = await levelsOf(first, others, tiffBytes)
      const { raster } = levels[0]
      refusePictures(first, raster, name)
      const keys = readKeys(first)
      const system = await readFileCrs(keys, {
        name,
        lookUpCrs,
        epsg: assume.epsg,
        projection: beside?.projection,
      })
      const affine = await placementOf(first, keys, beside, system, name)
      const lattice = { cols: raster.cols, rows: raster.rows, affine, crs: system.crs }
      refuseOffTheMap(lattice, name)
      const unitM = heightUnitOf(system, metadata, assume.heightUnitM, name)
      const [scale, offset] = [factorOf(metadata.SCALE, 1), factorOf(metadata.OFFSET, 0)]
      const facts = {
        name,
        sizeBytes: bytes.sizeBytes,
        fingerprint: await fingerprintOf(bytes, signal),
        valueType: raster.typeName,
        packing: PACKINGS[raster.packing],
        overviews: levels.length - 1,
        bands: raster.samples,
        noData: await noDataOf(first),
        hasMask: levels[0].mask !== null,
        heightUnitM: unitM,
        heightsName: system.heightsName,
      }
      const isPlain = scale === 1 && offset === 0
      const missing = [
        ...(facts.noData === null ? [] : [facts.noData, Math.fround(facts.noData)]),
        ...(assume.missing ?? []),
        // The least whole number there is stands for no data, and scaled it might pass for a height.
        ...(isPlain ? [] : [-32768, -2147483648]),
      ]
      const [a, b] = [-NO_GROUND_M, NO_GROUND_M].map((edge) => (edge / unitM - offset) / scale)
      // Values that are no heights are often spelled like depths: -9999, whatever the unit.
      const lowest = Math.max(Math.min(a, b), isPlain ? -NO_GROUND_M : -Infinity)
      const range = [lowest, Math.max(a, b)] as const
      tiffBytes.forget()
      return new TerrainFile(facts, lattice, levels, scale * unitM, offset * unitM, missing, range)
    })
  }

  /** How many of the file's own cells a cell of each scale is wide: 1, then the overviews'. */
  get levelFactors(): number[] {
    return this.levels.map(({ raster }) => this.lattice.cols / raster.cols)
  }

  /** Columns and rows of a scale. */
  levelSize(level: number): { cols: number; rows: number } {
    return this.levels[level].raster
  }

  /** Columns and rows of the blocks of a scale, which are read whole. */
  blockSize(level: number): { cols: number; rows: number } {
    const { blockCols, blockRows } = this.levels[level].raster
    return { cols: blockCols, rows: blockRows }
  }

  /** True for a value, as the file holds it, that can be no height whatever it is declared as. */
  isImpossible(value: number): boolean {
    return !(value > this.range[0] && value < this.range[1])
  }

  /**
   * Heights in metres of a window of one scale, row by row; NaN where there is none.
   * Throws a PilotError where the file is damaged.
   * @param heights where they go
   */
  async read(
    level: number,
    window: CellWindow,
    options: WorkOptions = {},
    heights: Float32Array = new Float32Array(window.cols * window.rows),
  ): Promise<Float32Array> {
    const { scale, offset } = this
    // Values are compared as the 32-bit floats that heights are.
    const [missingA = NaN, missingB = NaN, ...rest] = new Set(this.missing.map(Math.fround))
    const others = rest.length > 0 ? new Set(rest) : null
    const [lowest, highest] = this.range
    const isPlain = scale === 1 && offset === 0
    await this.readValues(level, window, options, (values, from, stride, to, count) => {
      if (!values) {
        heights.fill(NaN, to, to + count)
        return
      }
      const run = heights.subarray(to, to + count)
      if (stride === 1) run.set(values.subarray(from, from + count))
      else for (let i = 0, at = from; i < count; i++, at += stride) run[i] = values[at]
      for (let i = 0; i < count; i++) {
        const value = run[i]
        if (
          !(value < highest && value > lowest) ||
          value === missingA ||
          value === missingB ||
          (others !== null && others.has(value))
        ) {
          run[i] = NaN
        }
      }
      if (!isPlain) for (let i = 0; i < count; i++) run[i] = run[i] * scale + offset
    })
    await this.applyMask(level, window, heights, options)
    return heights
  }

  /** Values of a window as the file holds them, NaN where a mask, nodata or pilot says none. */
  async readRaw(level: number, window: CellWindow, options: WorkOptions = {}) {
    const raw = new Float64Array(window.cols * window.rows)
    const missing = new Set(this.missing)
    await this.readValues(level, window, options, (values, from, stride, to, count) => {
      for (let i = 0, at = from; i < count; i++, at += stride) {
        const value = values ? values[at] : NaN
        raw[to + i] = missing.has(value) ? NaN : value
      }
    })
    await this.applyMask(level, window, raw, options)
    return raw
  }

  /** A value of the file as a height in metres. */
  toMetres(value: number): number {
    return value * this.scale + this.offset
  }

  /** Visits runs of values of the window, a row of a block at a time. */
  private async readValues(
    level: number,
    window: CellWindow,
    { signal, onProgress }: WorkOptions,
    visit: (values: Values | null, from: number, stride: number, to: number, count: number) => void,
  ): Promise<void> {
    const { raster } = this.levels[level]
    await this.reading(raster, window, 0, { signal, onProgress }, (run) => {
      const { values, from, stride, to, count, valid } = run
      if (!valid || !values) {
        visit(values, from, stride, to, count)
        return
      }
      const kept = new Float64Array(count)
      for (let i = 0; i < count; i++) {
        kept[i] = valid[run.cell + i] ? values[from + i * stride] : NaN
      }
      visit(kept, 0, 1, to, count)
    })
  }

  private async applyMask(
    level: number,
    window: CellWindow,
    values: Float32Array | Float64Array,
    { signal }: WorkOptions,
  ): Promise<void> {
    const { mask, raster } = this.levels[level]
    const hide = ({ values: marks, from, stride, to, count }: Run) => {
      for (let i = 0; i < count; i++) {
        if (marks && marks[from + i * stride] === 0) values[to + i] = NaN
      }
    }
    if (mask) await this.reading(mask, window, 0, { signal }, hide)
    // A second band is how much of the cell there is.
    if (raster.hasAlpha) await this.reading(raster, window, 1, { signal }, hide)
  }

  private async reading(
    raster: TiffRaster,
    window: CellWindow,
    sample: number,
    { signal, onProgress }: WorkOptions,
    visit: (run: Run) => void,
  ): Promise<void> {
    await orSentence(this.facts.name, signal, () =>
      raster.readBlocks(
        window,
        sample,
        (block, values, stride, valid) => {
          throwIfCancelled(signal)
          const first = Math.max(block.row, window.row)
          const last = Math.min(block.row + block.rows, window.row + window.rows, raster.rows)
          const left = Math.max(block.col, window.col)
          const right = Math.min(block.col + block.cols, window.col + window.cols, raster.cols)
          for (let row = first; row < last; row++) {
            const cell = (row - block.row) * block.cols + left - block.col
            const to = (row - window.row) * window.cols + left - window.col
            const count = right - left
            if (count > 0) visit({ values, from: cell * stride, stride, to, count, valid, cell })
          }
        },
        { signal, onProgress },
      ),
    ).finally(() => raster.forget())
  }
}

/** A stretch of a row: where its values stand in a block, and where in the window. */
interface Run {
  readonly values: Values | null
  readonly from: number
  readonly stride: number
  readonly to: number
  readonly count: number
  readonly valid?: Uint8Array
  /** Index of the first cell in the block. */
  readonly cell: number
}

/** Runs a reading; whatever it throws that is no sentence means a damaged file. */
async function orSentence<T>(
  name: string,
  signal: AbortSignal | undefined,
  read: () => Promise<T>,
): Promise<T> {
  try {
    return await read()
  } catch (cause) {
    throwIfCancelled(signal)
    if (cause instanceof PilotError) throw cause
    if (cause instanceof Unreadable) {
      throw new PilotError(say('terrainFile.unreadable', { name, cause: cause.message }), { cause })
    }
    throw new PilotError(
      say('terrainFile.damagedCutShortFetch', { name, cause: describe(cause) }),
      { cause },
    )
  }
}

/** Limits say what is wrong with a file; other errors are words among programmers. */
function describe(cause: unknown): string {
  return cause instanceof RangeError
    ? cause.message.slice(0, 80)
    : say('terrainFile.partsContradictEachOther')
}

function refusePictures(
  image: GeoTIFFImage,
  { samples, bits, cols, rows }: TiffRaster,
  name: string,
): void {
  const photometric = Number(image.fileDirectory.getValue('PhotometricInterpretation') ?? 1)
  if ((samples >= 3 && bits === 8) || photometric === 2 || photometric === 3 || photometric > 4) {
    throw new PilotError(say('terrainFile.pictureChooseElevationModel', { name, samples }))
  }
  if (cols < 2 || rows < 2) {
    throw new PilotError(say('terrainFile.onlyXCellsSite', { name, cols, rows }))
  }
  if (samples > 2) {
    throw new PilotError(say('terrainFile.holdsBandsSaveOne', { name, samples }))
  }
}

function readKeys(image: GeoTIFFImage): GeoKeys | null {
  const keys = image.getGeoKeys()
  return keys && Object.keys(keys).length > 0 ? (keys as GeoKeys) : null
}

/** What a file does not say and the pilot may. */
export type Lack = 'crs' | 'height unit'

/** What the pilot can help a file out with that was refused; null where nothing helps. */
export function lacks(error: unknown): Lack | null {
  if (error instanceof NoCrs) return 'crs'
  return error instanceof NoHeightUnit ? 'height unit' : null
}
