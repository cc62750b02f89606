import type { GeoTIFFImage } from 'geotiff'
import { PilotError } from '../errors'
import { isGeographic, Projection } from '../geodesy/crs'
import { say } from '../words/say'
import type { FileCrs, GeoKeys } from './fileCrs'
import { isAligned, LatticeLocator, toXY, type Affine, type Lattice } from './lattice'
import type { Sidecars } from './source'

/** Where the cells lie, from whichever of its ways the file says it. */
export async function placementOf(
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
export function refuseOffTheMap(lattice: Lattice, name: string): void {
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
