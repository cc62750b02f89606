import { encode } from 'fast-png'
import { classOf, COVERAGE_CLASSES, NO_CLASS, type CoverageClass } from '../coverage/shares'
import { LatticeMapping } from '../geodesy/lattice'
import type { LatLon } from '../geodesy/earth'
import { Relief } from '../picture/relief'
import { cellsOfView, type View } from '../picture/view'
import type { Site } from '../surface/site'
import type { GridPosition } from '../terrain/grid'
import type { FieldBrief } from './fieldBrief'

/** Pixels of the map; at 180 mm some 230 to the inch. */
export const MAP_WIDTH = 1640
export const MAP_HEIGHT = 980
/** Ground kept free around what is shown, share of its extent. */
const ROOM = 0.12
/** Less ground than this a map does not show, metres. */
const LEAST_M = 1200

/** The part of the terrain that the map of a brief shows. */
export interface MapFrame {
  readonly west: number
  readonly north: number
  readonly cellsPerPixel: number
  readonly pixelM: number
}

/** Grid positions become pixels of the map. */
export function pixelOf({ west, north, cellsPerPixel }: MapFrame, { col, row }: GridPosition) {
  return { x: (col - west) / cellsPerPixel, y: (row - north) / cellsPerPixel }
}

/** The frame around all that is planned, as large as fits. */
export function frameAround({ locator }: Site, places: readonly LatLon[]): MapFrame {
  const spots = places.map((place) => locator.toGrid(place))
  const [cols, rows] = [spots.map(({ col }) => col), spots.map(({ row }) => row)]
  const extent = (values: number[]) => {
    const [low, high] = [Math.min(...values), Math.max(...values)]
    return { middle: (low + high) / 2, length: (high - low) * (1 + 2 * ROOM) }
  }
  const [across, down] = [extent(cols), extent(rows)]
  const cellM = locator.groundCellM({ col: across.middle, row: down.middle })
  const least = LEAST_M / cellM
  const cellsPerPixel = Math.max(
    Math.max(least, across.length) / MAP_WIDTH,
    Math.max(least, down.length) / MAP_HEIGHT,
  )
  return {
    west: across.middle - (cellsPerPixel * MAP_WIDTH) / 2,
    north: down.middle - (cellsPerPixel * MAP_HEIGHT) / 2,
    cellsPerPixel,
    pixelM: cellsPerPixel * cellM,
  }
}

/** How dark the relief may become: what is drawn on it must stand out on paper. */
const DARKEST = 148
/** Ink of a class over the relief, by pixel; what has none is Fresnel-clear. */
const INKS: Readonly<Record<CoverageClass, (x: number, y: number) => boolean>> = {
  fresnelClear: () => false,
  fresnelUncertain: (x, y) => x % 15 < 4 && y % 15 < 4,
  sightOnly: (_x, y) => y % 11 < 3,
  sightUncertain: (x, y) => (x + y) % 22 < 4 && y % 12 < 8,
  blocked: (x, y) => (x + y) % 11 < 4,
}
const INK = 62

/** Relief and coverage classes in greys that keep apart on any printer, as a PNG. */
export function mapPicture(
  { site: { terrain }, pictures, plan, errorM }: FieldBrief,
  frame: MapFrame,
  metresPerUnit: number,
): Uint8Array {
  const view = viewOf(frame)
  const pixels = new Uint8ClampedArray(MAP_WIDTH * MAP_HEIGHT * 4)
  new Relief(terrain).paint(view, pixels, metresPerUnit)
  const cells = cellsOfView(terrain, view)
  const grey = new Uint8Array(MAP_WIDTH * MAP_HEIGHT)
  for (let i = 0; i < grey.length; i++) {
    const at = 4 * i
    if (pixels[at + 3] === 0) {
      grey[i] = 255
      continue
    }
    const light = 0.3 * pixels[at] + 0.59 * pixels[at + 1] + 0.11 * pixels[at + 2]
    grey[i] = DARKEST + ((255 - DARKEST) * light) / 255
    if (cells[i] < 0) continue
    const found = classOf(pictures.fields, cells[i], plan.flyingHeightM, errorM)
    if (found === NO_CLASS) continue
    if (INKS[COVERAGE_CLASSES[found]](i % MAP_WIDTH, Math.floor(i / MAP_WIDTH))) grey[i] = INK
  }
  return encode({ width: MAP_WIDTH, height: MAP_HEIGHT, data: grey, channels: 1 })
}

/** A piece of a class as the map shows it, on the grey of level ground. */
export function swatchPicture(name: CoverageClass, width: number, height: number): Uint8Array {
  const data = Uint8Array.from({ length: width * height }, (_, i) =>
    INKS[name](i % width, Math.floor(i / width)) ? INK : 236,
  )
  return encode({ width, height, data, channels: 1 })
}

function viewOf({ west, north, cellsPerPixel, pixelM }: MapFrame): View {
  return {
    width: MAP_WIDTH,
    height: MAP_HEIGHT,
    pixelM,
    cellsPerPixel,
    mapping: new LatticeMapping(MAP_WIDTH + 1, MAP_HEIGHT + 1, (x, y) => [
      west + (x + 0.5) * cellsPerPixel,
      north + (y + 0.5) * cellsPerPixel,
    ]),
    patternX: 0,
    patternY: 0,
  }
}

/** Bytes as an address that a document carries in itself. */
export function dataUrl(bytes: Uint8Array, type: string): string {
  // In pieces: a call takes only so many arguments.
  const PIECE = 0x8000
  let text = ''
  for (let i = 0; i < bytes.length; i += PIECE) {
    text += String.fromCharCode(...bytes.subarray(i, i + PIECE))
  }
  return `data:${type};base64,${btoa(text)}`
}
