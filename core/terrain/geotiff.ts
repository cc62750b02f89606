import { fromBlob, fromUrl, type GeoTIFF, type GeoTIFFImage } from 'geotiff'
import { PilotError, throwIfCancelled } from '../errors'
import { isGeographic, isMetric, Projection, type Crs, type CrsLookup } from '../geodesy/crs'
import type { LatLon } from '../geodesy/earth'
import type { TerrainGrid } from './grid'
import { resampleToSite, type SourceRaster } from './resample'

/** Where a terrain file comes from. Both kinds are read by range, never whole. */
export type TerrainSource =
  { readonly name: string; readonly blob: Blob } | { readonly name: string; readonly url: string }

export interface ReadOptions {
  /** What the file is called in messages and in the window. */
  readonly name: string
  readonly lookUpCrs: CrsLookup
  readonly signal?: AbortSignal
  /** Called with the share done, 0 to 1. */
  readonly onProgress?: (share: number) => void
}

/** More cells than this would not fit comfortably in memory as one grid. */
const MAX_CELLS = 100_000_000
/** Cells decoded between two looks at progress and cancellation. */
const CELLS_PER_BAND = 1_000_000
/** No ground lies this far from sea level, up or down; -9999 and its like do. */
const NO_GROUND_M = 9000
const USER_DEFINED = 32767
/** GeoTIFF key value of a metre, for lengths and for heights (EPSG unit 9001). */
const METRE = 9001

/** Opens a GeoTIFF for ranged reading. Throws a PilotError where it is no TIFF at all. */
export async function openGeoTiff(source: TerrainSource): Promise<GeoTIFF> {
  return asGeoTiff(source.name, 'blob' in source ? fromBlob(source.blob) : fromUrl(source.url))
}

/** Waits for geotiff.js to read a file's header and turns its failure into a sentence. */
export async function asGeoTiff(name: string, opening: Promise<GeoTIFF>): Promise<GeoTIFF> {
  try {
    const tiff = await opening
    await tiff.getImage(0)
    return tiff
  } catch (cause) {
    throw new PilotError(
      `"${name}" is not a TIFF file that can be read; choose an elevation model saved as GeoTIFF.`,
      { cause },
    )
  }
}

/**
 * Reads the terrain of a DEM GeoTIFF: cell for cell on its own grid where that is metric,
 * square and north up, otherwise resampled once into the metric CRS of the site.
 * Throws a PilotError with a sentence for every file it cannot use.
 */
export async function readTerrain(tiff: GeoTIFF, options: ReadOptions): Promise<TerrainGrid> {
  const { name, signal, onProgress } = options
  const image = await tiff.getImage(0)
  await refuseUnsupported(image, name)
  const placement = await readPlacement(image, options)
  const heights = await readHeights(image, options)
  throwIfCancelled(signal)
  const raster: SourceRaster = { ...placement, heights }

  let terrain: TerrainGrid
  if (isMetric(raster.crs) && isSquare(raster)) {
    const { cols, rows, crs, stepX, west, north } = raster
    const origin = 'the grid of the file, cell for cell'
    terrain = { cols, rows, cellM: stepX, westM: west, northM: north, crs, heights, name, origin }
  } else {
    terrain = await resampleToSite(raster, options)
  }
  if (!terrain.heights.some((height) => !Number.isNaN(height))) {
    throw new PilotError(`"${name}" holds no heights at all: every cell is marked as no data.`)
  }
  onProgress?.(1)
  return terrain
}

async function refuseUnsupported(image: GeoTIFFImage, name: string): Promise<void> {
  const [cols, rows] = [image.getWidth(), image.getHeight()]
  if (image.getSamplesPerPixel() > 1) {
    throw new PilotError(
      `"${name}" holds ${image.getSamplesPerPixel()} bands, as a picture does; an elevation model has one.`,
    )
  }
  const bits = image.getBitsPerSample()
  if (bits < 16) {
    throw new PilotError(
      `"${name}" holds ${bits}-bit values, as a picture does; heights need at least 16 bits a cell.`,
    )
  }
  if (cols < 2 || rows < 2) {
    throw new PilotError(`"${name}" is only ${cols} x ${rows} cells; a site needs at least 2 x 2.`)
  }
  if (cols * rows > MAX_CELLS) {
    throw new PilotError(
      `"${name}" is ${cols} x ${rows} cells, more than the ${MAX_CELLS / 1e6} million this version opens; cut out the part around your site.`,
    )
  }
  const metadata = await image.getGDALMetadata(0)
  const [scale, offset] = [Number(metadata?.SCALE ?? 1), Number(metadata?.OFFSET ?? 0)]
  if (scale !== 1 || offset !== 0) {
    throw new PilotError(
      `"${name}" stores its heights scaled (scale ${scale}, offset ${offset}), which this version does not read; save it with true heights in metres.`,
    )
  }
}

type Placement = Omit<SourceRaster, 'heights'>

async function readPlacement(image: GeoTIFFImage, options: ReadOptions): Promise<Placement> {
  const { name } = options
  const [cols, rows] = [image.getWidth(), image.getHeight()]
  const scale = (await image.fileDirectory.loadValue('ModelPixelScale')) as number[] | undefined
  const tiePoints = (await image.fileDirectory.loadValue('ModelTiepoint')) as number[] | undefined
  const matrix = (await image.fileDirectory.loadValue('ModelTransformation')) as
    number[] | undefined
  const keys = image.getGeoKeys()

  let corner: { stepX: number; stepY: number; west: number; north: number }
  if (scale && tiePoints && tiePoints.length >= 6) {
    const [i, j, , x, y] = tiePoints
    corner = {
      stepX: scale[0],
      stepY: scale[1],
      west: x - i * scale[0],
      north: y + j * scale[1],
    }
  } else if (matrix && matrix.length >= 16) {
    if (matrix[1] !== 0 || matrix[4] !== 0) {
      throw new PilotError(
        `"${name}" is rotated against north, which this version does not read; save it north up.`,
      )
    }
    corner = { stepX: matrix[0], stepY: -matrix[5], west: matrix[3], north: matrix[7] }
  } else {
    throw new PilotError(
      `"${name}" carries no georeferencing, so nobody can tell where it lies; export it again as GeoTIFF with its coordinate system.`,
    )
  }
  if (!(corner.stepX > 0 && corner.stepY > 0) || !Object.values(corner).every(Number.isFinite)) {
    throw new PilotError(
      `"${name}" does not run from north to south and west to east, which this version does not read; save it north up.`,
    )
  }
  if (keys?.GTRasterTypeGeoKey === 2) {
    // PixelIsPoint: the tie point is the centre of its cell, not the outer corner.
    corner.west -= corner.stepX / 2
    corner.north += corner.stepY / 2
  }
  const placement = { cols, rows, ...corner, crs: await readCrs(keys, options) }
  refuseOffTheMap(placement, name)
  return placement
}

/** Throws where the projection has no answer for the middle or a corner of the file. */
function refuseOffTheMap({ cols, rows, stepX, stepY, west, north, crs }: Placement, name: string) {
  let inverse: (x: number, y: number) => LatLon
  try {
    const projection = new Projection(crs)
    inverse = (x, y) => projection.inverse(x, y)
  } catch {
    inverse = () => ({ latDeg: NaN, lonDeg: NaN })
  }
  for (const [x, y] of [
    [0, 0],
    [1, 0],
    [0, 1],
    [1, 1],
    [0.5, 0.5],
  ]) {
    const { latDeg, lonDeg } = inverse(west + x * cols * stepX, north - y * rows * stepY)
    if (!Number.isFinite(latDeg + lonDeg) || Math.abs(latDeg) > 90 || Math.abs(lonDeg) > 540) {
      throw new PilotError(
        `"${name}" lies where its coordinate system (${crs.name}) has no answer; check its georeferencing or reproject it to a UTM zone.`,
      )
    }
  }
}

type GeoKeys = ReturnType<GeoTIFFImage['getGeoKeys']>

async function readCrs(keys: GeoKeys, { name, lookUpCrs }: ReadOptions): Promise<Crs> {
  const verticalUnit = keys?.VerticalUnitsGeoKey
  if (verticalUnit !== undefined && verticalUnit !== METRE) {
    throw new PilotError(
      `"${name}" gives its heights in another unit than metres (EPSG unit ${verticalUnit}), which this version does not read; convert them to metres.`,
    )
  }
  const epsg: number | undefined = keys?.ProjectedCSTypeGeoKey ?? keys?.GeographicTypeGeoKey
  if (epsg === undefined) {
    throw new PilotError(
      `"${name}" does not name its coordinate system; export it again with one, such as a UTM zone.`,
    )
  }
  if (epsg === USER_DEFINED) {
    throw new PilotError(
      `"${name}" uses a coordinate system of its own making, which this version does not read; reproject it to a UTM zone.`,
    )
  }
  const crs = await lookUpCrs(epsg)
  if (!crs) {
    throw new PilotError(
      `"${name}" names a coordinate system that is not known here (EPSG:${epsg}); reproject it to a UTM zone.`,
    )
  }
  if (/\+nadgrids=(?!@)/.test(crs.definition)) {
    throw new PilotError(
      `"${name}" is in ${crs.name} (EPSG:${epsg}), whose datum needs a shift grid that is not here; reproject it to a UTM zone on WGS 84.`,
    )
  }
  if (keys?.VerticalUnitsGeoKey === undefined && !isGeographic(crs) && !isMetric(crs)) {
    throw new PilotError(
      `"${name}" lies in ${crs.name}, which is not in metres, and does not say the unit of its heights; save it with heights in metres and that said.`,
    )
  }
  return crs
}

async function readHeights(
  image: GeoTIFFImage,
  { name, signal, onProgress }: ReadOptions,
): Promise<Float32Array> {
  const [cols, rows] = [image.getWidth(), image.getHeight()]
  const heights = new Float32Array(cols * rows)
  const noData = image.getGDALNoData()
  const blockRows = image.getTileHeight()
  const bandRows = blockRows * Math.max(1, Math.round(CELLS_PER_BAND / cols / blockRows))
  for (let top = 0; top < rows; top += bandRows) {
    throwIfCancelled(signal)
    const bottom = Math.min(rows, top + bandRows)
    const band = await image
      .readRasters({ window: [0, top, cols, bottom], interleave: true, signal })
      .catch((cause: unknown) => {
        throwIfCancelled(signal)
        throw new PilotError(
          `"${name}" cannot be read past row ${top}: the file is damaged or packed in a way that is not supported; fetch or export it again.`,
          { cause },
        )
      })
    for (let i = 0, out = top * cols; i < band.length; i++, out++) {
      const value = band[i]
      heights[out] = value === noData || !isHeight(value) ? NaN : value
    }
    onProgress?.((bottom / rows) * 0.9)
  }
  if (noData !== null && noData !== Math.fround(noData)) blank(heights, Math.fround(noData))
  return heights
}

/** False for NaN, and for the usual marks of missing data where a file forgets to declare them. */
function isHeight(value: number): boolean {
  return Math.abs(value) < NO_GROUND_M
}

/** A nodata value spelled with more digits than a 32-bit cell can hold. */
function blank(heights: Float32Array, value: number): void {
  for (let i = 0; i < heights.length; i++) if (heights[i] === value) heights[i] = NaN
}

function isSquare({ stepX, stepY, cols, rows }: Placement): boolean {
  // A difference that adds up to less than a hundredth of a cell over the grid is rounding.
  return Math.abs(stepX / stepY - 1) * Math.max(cols, rows) < 0.01
}
