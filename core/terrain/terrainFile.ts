import { GeoTIFF, type GeoTIFFImage } from 'geotiff'
import { PilotError, throwIfCancelled } from '../errors'
import { isGeographic, Projection, type CrsLookup } from '../geodesy/crs'
import { fingerprintOf, type FileIdentity } from './fingerprint'
import { NoCrs, readFileCrs, unitFromWord, type FileCrs, type GeoKeys } from './fileCrs'
import { isAligned, LatticeLocator, toXY, type Affine, type Lattice } from './lattice'
import { openBytes, type ByteSource, type Sidecars, type TerrainSource } from './source'
import { TiffBytes } from './tiffBytes'
import { TiffRaster, Unreadable, type CellWindow, type Values } from './tiffRaster'
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

/** The heights of a file at one scale: the file's own, or one of its overviews. */
interface Level {
  readonly raster: TiffRaster
  /** 1-bit raster of where there is a height, if the file has one. */
  readonly mask: TiffRaster | null
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
/** More directories than any file of heights has. */
const MAX_DIRECTORIES = 64
/** Metadata longer than this is no metadata of a height. */
const MAX_METADATA_BYTES = 1_000_000

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
      const unitM = heightUnitOf(system, metadata, assume, name)
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
    if (cause instanceof Unreadable) throw new PilotError(`"${name}" ${cause.message}.`, { cause })
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

async function openTiff(bytes: TiffBytes, name: string): Promise<GeoTIFF> {
  try {
    return await GeoTIFF.fromSource(bytes as unknown as Parameters<typeof GeoTIFF.fromSource>[0])
  } catch (cause) {
    if (cause instanceof PilotError) throw cause
    if (bytes.fileSize === 0) {
      throw new PilotError(say('terrainFile.emptyFetchAgain', { name }), { cause })
    }
    throw new PilotError(say('terrainFile.notTiffFileCan', { name }), { cause })
  }
}

/** All directories of a file, as far as they lead anywhere new. */
async function directoriesOf(tiff: GeoTIFF): Promise<GeoTIFFImage[]> {
  const images = [await tiff.getImage(0)]
  const seen = new Set<number>([tiff.firstIFDOffset])
  while (images.length < MAX_DIRECTORIES) {
    const next = Number(images[images.length - 1].fileDirectory.nextIFDByteOffset)
    if (!next || seen.has(next)) break
    seen.add(next)
    try {
      images.push(await tiff.getImage(images.length))
    } catch {
      // The heights stand in the first; what follows is coarser copies of them.
      break
    }
  }
  return images
}

/** The file's own scale and its overviews, each with its mask, finest first. */
async function levelsOf(
  first: GeoTIFFImage,
  others: readonly GeoTIFFImage[],
  bytes: TiffBytes,
): Promise<Level[]> {
  const own = await TiffRaster.of(first, bytes)
  const copies: TiffRaster[] = []
  const masks: TiffRaster[] = []
  for (const image of others) {
    const kind = Number(image.fileDirectory.getValue('NewSubfileType') ?? 0)
    if ((kind & 5) === 0) continue
    try {
      const raster = await TiffRaster.of(image, bytes)
      if (kind & 4) masks.push(raster)
      else copies.push(raster)
    } catch {
      // A coarser copy that cannot be read is done without; a mask is looked for below.
      if (kind & 4) throw new RangeError('a mask that cannot be read')
    }
  }
  const isCopy = ({ cols, rows, samples, typeName }: TiffRaster) =>
    cols < own.cols &&
    Math.abs(own.cols / cols / (own.rows / rows) - 1) < 0.1 + 1 / Math.min(cols, rows) &&
    samples === own.samples &&
    typeName === own.typeName
  const maskOf = ({ cols, rows }: TiffRaster) =>
    masks.find((mask) => mask.cols === cols && mask.rows === rows) ?? null
  const ownMask = maskOf(own)
  return [own, ...copies.filter(isCopy).sort((a, b) => b.cols - a.cols)]
    .map((raster) => ({ raster, mask: maskOf(raster) }))
    .filter(({ mask }) => mask !== null || ownMask === null)
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

/** Where the cells lie, from whichever of its ways the file says it. */
async function placementOf(
  image: GeoTIFFImage,
  keys: GeoKeys | null,
  beside: Sidecars | undefined,
  { coordinateFactor }: FileCrs,
  name: string,
): Promise<Affine> {
  const numbers = async (tag: 'ModelPixelScale' | 'ModelTiepoint' | 'ModelTransformation') => {
    const value = (await image.fileDirectory.loadValue(tag)) as unknown
    const list = ArrayBuffer.isView(value) || Array.isArray(value) ? Array.from(value as never) : []
    return list.every((one) => typeof one === 'number') ? (list as number[]) : []
  }
  const scale = await numbers('ModelPixelScale')
  const ties = await numbers('ModelTiepoint')
  const matrix = await numbers('ModelTransformation')
  // PixelIsPoint: positions count from the centre of the first cell, not from its outer corner.
  const half = keys?.GTRasterTypeGeoKey === 2 ? 0.5 : 0
  let affine: Affine
  if (matrix.length >= 16) {
    affine = { xCol: matrix[0], xRow: matrix[1], x0: matrix[3], yCol: matrix[4], yRow: matrix[5], y0: matrix[7] } // prettier-ignore
    affine = shifted(affine, -half)
  } else if (scale.length >= 2 && ties.length >= 6) {
    const [col, row, , x, y] = ties
    const [xCol, yRow] = [scale[0], -scale[1]]
    affine = { xCol, xRow: 0, x0: x - col * xCol, yCol: 0, yRow, y0: y - row * yRow }
    affine = shifted(affine, -half)
  } else if (beside?.worldFile) {
    affine = shifted(worldFile(beside.worldFile, name), -0.5)
  } else {
    throw new PilotError(
      ties.length > 6
        ? say('terrainFile.placedSinglePointsOnly', { name })
        : say('terrainFile.carriesNoGeoreferencingSo', { name }),
    )
  }
  const { x0, xCol, xRow, y0, yCol, yRow } = affine
  const area = xCol * yRow - xRow * yCol
  if (![x0, xCol, xRow, y0, yCol, yRow].every(Number.isFinite) || !(Math.abs(area) > 0)) {
    throw new PilotError(say('terrainFile.givesCellsNoSize', { name }))
  }
  const f = coordinateFactor
  return { x0: x0 * f, xCol: xCol * f, xRow: xRow * f, y0: y0 * f, yCol: yCol * f, yRow: yRow * f }
}

/** The same raster with its origin moved by so many cells both ways. */
function shifted(affine: Affine, cells: number): Affine {
  const [x0, y0] = toXY(affine, cells, cells)
  return { ...affine, x0, y0 }
}

/** The six numbers of a world file, which place the centre of the first cell. */
function worldFile(text: string, name: string): Affine {
  const numbers = text.trim().split(/\s+/).slice(0, 6).map(Number)
  if (numbers.length < 6 || !numbers.every(Number.isFinite)) {
    throw new PilotError(say('terrainFile.worldFileDoesNot', { name }))
  }
  const [xCol, yCol, xRow, yRow, x0, y0] = numbers
  return { xCol, yCol, xRow, yRow, x0, y0 }
}

/** Throws where the projection has no answer for the middle or a corner of the file. */
function refuseOffTheMap(lattice: Lattice, name: string): void {
  const { cols, rows, affine, crs } = lattice
  const places: (readonly [number, number])[] = [
    [0.5, 0.5],
    [0, 0],
    [1, 0],
    [0, 1],
    [1, 1],
  ]
  const isOff = ([across, down]: readonly [number, number]) => {
    const { latDeg, lonDeg } = locator!.toLatLon(across * cols, down * rows)
    return !Number.isFinite(latDeg + lonDeg) || Math.abs(latDeg) > 90.5 || Math.abs(lonDeg) > 540
  }
  let locator: LatticeLocator | null = null
  try {
    new Projection(crs)
    locator = new LatticeLocator(lattice)
  } catch {
    // Said below.
  }
  // Far outside its domain a projection answers with nonsense, which does not lead back.
  const leadsBack = () => {
    const [col, row] = locator!.fromLatLon(locator!.toLatLon(cols / 2, rows / 2))
    return Math.hypot(col - cols / 2, row - rows / 2) < 1
  }
  if (!locator || places.some(isOff) || !leadsBack()) {
    const hint =
      isGeographic(crs) && isAligned(affine) && Math.abs(affine.x0) > 540
        ? say('terrainFile.coordinatesLookLikeMetres')
        : say('terrainFile.checkGeoreferencingReprojectUtm')
    throw new PilotError(
      say('terrainFile.liesWhereCoordinateSystem', { name, name2: crs.name, hint }),
    )
  }
}

type Metadata = Readonly<Partial<Record<'SCALE' | 'OFFSET' | 'UNITTYPE', unknown>>>

async function metadataOf(image: GeoTIFFImage): Promise<Metadata> {
  const text = (await image.fileDirectory.loadValue('GDAL_METADATA').catch(() => null)) as unknown
  if (typeof text !== 'string' || text.length > MAX_METADATA_BYTES) return {}
  return ((await image.getGDALMetadata(0).catch(() => null)) ?? {}) as Metadata
}

function factorOf(value: unknown, otherwise: number): number {
  const number = value === undefined ? otherwise : Number(value)
  if (!Number.isFinite(number)) throw new RangeError(`a scale of ${String(value)}`)
  return number === 0 && otherwise === 1 ? 1 : number
}

async function noDataOf(image: GeoTIFFImage): Promise<number | null> {
  const text = (await image.fileDirectory.loadValue('GDAL_NODATA').catch(() => null)) as unknown
  if (typeof text !== 'string') return null
  const value = Number(text.replace(/\0.*$/s, '').trim() || NaN)
  return Number.isNaN(value) ? null : value
}

/** Thrown where nothing says whether heights are metres or feet and the pilot may. */
export class NoHeightUnit extends PilotError {}

/** What the file says, else what the pilot says, else what is most likely. */
function heightUnitOf(
  { heightUnitM, likelyHeightUnitM, crs }: FileCrs,
  metadata: Metadata,
  assume: Assumptions,
  name: string,
): number {
  const word = typeof metadata.UNITTYPE === 'string' ? metadata.UNITTYPE.trim() : ''
  const stated = word ? unitFromWord(word) : heightUnitM
  const unit = stated ?? assume.heightUnitM ?? (word ? null : likelyHeightUnitM)
  if (unit) return unit
  if (word) {
    throw new NoHeightUnit(
      say('terrainFile.givesHeightsWhichNot', { name, word: word.slice(0, 40) }),
    )
  }
  throw new NoHeightUnit(say('terrainFile.liesWhichNotMetres', { name, name2: crs.name }))
}

/** What a file does not say and the pilot may. */
export type Lack = 'crs' | 'height unit'

/** What the pilot can help a file out with that was refused; null where nothing helps. */
export function lacks(error: unknown): Lack | null {
  if (error instanceof NoCrs) return 'crs'
  return error instanceof NoHeightUnit ? 'height unit' : null
}
