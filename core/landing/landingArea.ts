import type { Polygon } from 'geojson'
import { classPolygons } from '../exchange/classPolygons'
import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import type { Unknown } from '../plan/unknown'
import type { GridFrame, GridLocator } from '../terrain/grid'
import { USUAL_LANDING, type GroundArea, type LandingLimits } from './areas'
import { cellBounds } from './cellBounds'
import { USUAL_WALK, type WalkSettings } from './walk'

/** An area the pilot has chosen to land on when something goes wrong, or at home. */
export interface LandingArea {
  readonly name: string
  readonly note: string
  /** Where to put it down. */
  readonly at: LatLon
  readonly outline: Polygon
  readonly sizeM2: number
  /** Longest run, and one of its two true bearings, 0 to 180 degrees. */
  readonly runM: number
  readonly runDeg: number
  /** True for the place to land at home, chosen before take-off; one at the most. */
  readonly isHome: boolean
  /** What its file says beyond this. */
  readonly unknown?: Unknown
}

/** Where the pilot would put it down, and how to get there on foot. */
export interface LandingSetup {
  readonly limits: LandingLimits
  readonly walk: WalkSettings
  /** Where walking begins; null for the launch point. */
  readonly roadHead: LatLon | null
  /** True when there is snow: then avalanche slopes matter. */
  readonly hasSnow: boolean
  /** Nobody should land there. */
  readonly excluded: readonly Polygon[]
  readonly accepted: readonly LandingArea[]
}

export const NO_LANDING: LandingSetup = {
  limits: USUAL_LANDING,
  walk: USUAL_WALK,
  roadHead: null,
  hasSnow: false,
  excluded: [],
  accepted: [],
}

/** Outline of an area: a polygon along the borders of its cells, of the largest part where it has several. */
export function outlineOf({ cells }: Pick<GroundArea, 'cells'>, frame: GridFrame): Polygon {
  const { cols } = frame
  const { west, north, east, south } = cellBounds(cells, cols)
  const crop: GridFrame = {
    ...frame,
    cols: east - west + 1,
    rows: south - north + 1,
    westM: frame.westM + west * frame.cellM,
    northM: frame.northM - north * frame.cellM,
  }
  const classes = new Uint8Array(crop.cols * crop.rows).fill(255)
  for (const cell of cells) {
    classes[(Math.floor(cell / cols) - north) * crop.cols + (cell % cols) - west] = 0
  }
  const [feature] = classPolygons(classes, crop, ['area'], () => ({})).features
  const [largest] = [...feature.geometry.coordinates].sort((a, b) => b[0].length - a[0].length)
  return { type: 'Polygon', coordinates: largest }
}

/** True bearing of an area's longest run, 0 to 180 degrees. */
export function runBearingDeg(area: GroundArea, { cols }: GridFrame, locator: GridLocator): number {
  const [col, row] = [area.middle % cols, Math.floor(area.middle / cols)]
  const angle = (area.runDeg * Math.PI) / 180
  const ahead = { col: col + 10 * Math.sin(angle), row: row - 10 * Math.cos(angle) }
  const { bearingDeg } = geodesic(locator.toLatLon({ col, row }), locator.toLatLon(ahead))
  return bearingDeg % 180
}

/** Heading of the approach along the longest run that goes more into the wind. */
export function approachDeg(runDeg: number, windFromDeg: number): number {
  const off = Math.abs(((windFromDeg - runDeg + 540) % 360) - 180)
  return off <= 90 ? runDeg : runDeg + 180
}
