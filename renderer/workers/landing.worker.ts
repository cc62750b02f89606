import type { Geometry, Polygon } from 'geojson'
import type { ClearFields } from '../../core/coverage/radialSweep'
import type { PathField } from '../../core/coverage/pathField'
import type { LatLon } from '../../core/geodesy/earth'
import { avalancheGround } from '../../core/landing/avalanche'
import {
  describeArea,
  findAreas,
  type GroundArea,
  type LandingLimits,
} from '../../core/landing/areas'
import {
  DRAWN_AREA,
  findBasins,
  readValley,
  readValleys,
  type Basins,
  type Valley,
} from '../../core/landing/basins'
import { footWayTo, type FootWay } from '../../core/landing/footWay'
import { levelGround } from '../../core/landing/flatGround'
import {
  groundMargin,
  pictureShares,
  soonestOnFoot,
  type PictureShares,
} from '../../core/landing/landing'
import { outlineOf, runBearingDeg } from '../../core/landing/landingArea'
import { groundShape, type GroundShape } from '../../core/landing/slope'
import {
  checkStart,
  unwalkable,
  walkFrom,
  type WalkField,
  type WalkSettings,
} from '../../core/landing/walk'
import type { Link } from '../../core/radio/link'
import type { Surface } from '../../core/surface/surface'
import type { Site } from '../../core/surface/site'
import { cellIndex, GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { cellsOfShapes, shapesOnGrid } from '../../core/terrain/shapes'
import { errorsAsData, type Outcome } from './outcome'
import { exposeSpeaking } from './threadLanguage'

/** An area found, without its cells. */
export interface FoundArea {
  readonly id: number
  readonly at: LatLon
  readonly sizeM2: number
  readonly runM: number
  readonly runDeg: number
  readonly meanSlopeDeg: number
  readonly heightM: number
}

interface Ground extends Site {
  readonly cellM: number
  readonly shape: GroundShape
  readonly level: Uint8Array
}

/** A valley with its place and border. */
export interface ValleyOnMap extends Valley {
  readonly at: LatLon
  readonly sizeM2: number
  readonly outline: Polygon
}

/** More valleys than this nobody compares. */
const MOST_VALLEYS = 60

let basins: (Basins & { readonly of: Float32Array; readonly streamM2: number }) | null = null
let site: Ground | null = null
let found: readonly GroundArea[] = []
let walked: WalkField | null = null
let snow: Uint8Array | null = null
/** Number of the search that found the areas at hand: who asks with another asks about others. */
let foundGeneration = 0

/** Possible avalanche ground of the site, worked out once. */
function snowGround(): Uint8Array {
  const { terrain, cellM, shape } = theSite()
  const { heights, cols, rows } = terrain
  snow ??= avalancheGround(heights, shape.slopeDeg, cols, rows, cellM)
  return snow
}

function theSite(): Ground {
  if (!site) throw new Error('landing areas were asked for before there was a terrain')
  return site
}

const api = {
  setSite(terrain: TerrainGrid, surface: Surface): void {
    const { heights, cols, rows } = terrain
    const locator = new GridLocator(terrain)
    // Heights in shared memory come as another view of the same.
    const same = site && isSameMemory(site.terrain.heights, heights) ? site : null
    if (!same) snow = null
    const cellM = locator.groundCellM({ col: cols / 2, row: rows / 2 })
    const shape = same?.shape ?? groundShape(heights, cols, rows, cellM)
    const level = same?.level ?? levelGround(heights, cols, cellM)
    site = { terrain, locator, surface, cellM, shape, level }
  },

  /** Areas within the limits, the largest first. */
  find(
    generation: number,
    limits: LandingLimits,
    excluded: readonly Geometry[],
  ): Promise<Outcome<FoundArea[]>> {
    return errorsAsData(async () => {
      const { terrain, locator, surface, cellM, shape, level } = theSite()
      const ground = { ...terrain, ...surface }
      const out = excluded.length > 0 ? new Uint8Array(terrain.heights.length) : null
      for (const geometry of excluded) {
        for (const cell of cellsOfShapes(shapesOnGrid(geometry, locator), terrain)) {
          if (out) out[cell] = 1
        }
      }
      found = []
      foundGeneration = generation
      found = findAreas(ground, shape, level, out, cellM, limits).areas
      const { cols } = terrain
      return found.map((area, id): FoundArea => ({
        id,
        at: locator.toLatLon({ col: area.middle % cols, row: Math.floor(area.middle / cols) }),
        sizeM2: area.sizeM2,
        runM: area.runM,
        runDeg: runBearingDeg(area, terrain, locator),
        meanSlopeDeg: area.meanSlopeDeg,
        heightM: area.meanHeightM,
      }))
    })
  },

  /** By area, what of it keeps its picture to the ground. */
  pictures(
    generation: number,
    fields: ClearFields,
    paths: PathField,
    link: Link,
  ): PictureShares[] | null {
    if (generation !== foundGeneration) return null
    const margin = groundMargin(link, paths)
    return found.map((area) => pictureShares(area, fields, margin))
  },

  /** By area, seconds on foot; null where nobody gets. */
  walk(from: LatLon, label: string, settings: WalkSettings): Promise<Outcome<(number | null)[]>> {
    return errorsAsData(async () => {
      const { terrain, locator, cellM, level, shape } = theSite()
      const { heights, cols, rows } = terrain
      const start = cellIndex(terrain, locator.toGrid(from))
      walked = null
      checkStart(start, label, heights, level)
      const out = unwalkable(level, shape.slopeDeg, settings)
      walked = walkFrom(heights, cols, rows, start, out, cellM, settings)
      const field = walked
      return found.map((area) => soonestOnFoot(area, field)?.timeS ?? null)
    })
  },

  /** The way on foot to an area found; null where nobody gets. */
  way(generation: number, id: number, hasSnow: boolean): FootWay | null {
    const { terrain, locator, cellM } = theSite()
    if (generation !== foundGeneration) return null
    if (!walked || !found[id]) return null
    return footWayTo(found[id], walked, terrain, locator, cellM, hasSnow ? snowGround() : null)
  },

  /** The valleys of the site and how forgiving they are, the largest first, for the map as well. */
  valleys(
    fields: ClearFields,
    heightM: number,
    streamM2: number,
    drawn: Polygon | null,
  ): ValleyOnMap[] {
    const { terrain, locator, cellM, level } = theSite()
    const { heights, cols, rows } = terrain
    if (!basins || !isSameMemory(basins.of, heights) || basins.streamM2 !== streamM2) {
      const streamCells = Math.max(1, streamM2 / (cellM * cellM))
      basins = { of: heights, streamM2, ...findBasins(heights, cols, rows, level, streamCells) }
    }
    const { labels } = basins
    const valleys = readValleys(basins, fields, cols, heightM, found)
    const shown = valleys.slice(0, MOST_VALLEYS)
    const cells = shown.map((): number[] => [])
    for (let i = 0; i < labels.length; i++) if (labels[i] > 0) cells[labels[i] - 1]?.push(i)
    const onMap = (valley: Valley, outline: Polygon): ValleyOnMap => ({
      ...valley,
      at: locator.toLatLon({
        col: valley.middle % cols,
        row: Math.floor(valley.middle / cols),
      }),
      sizeM2: valley.cells * cellM * cellM,
      outline,
    })
    const read = shown.map((valley, i) =>
      onMap(valley, outlineOf({ cells: Uint32Array.from(cells[i]) }, terrain)),
    )
    const own = drawn ? cellsOfShapes(shapesOnGrid(drawn, locator), terrain) : []
    if (!drawn || own.length === 0) return read
    const inside = new Set(own)
    const areas = found.filter(({ middle }) => inside.has(middle))
    return [onMap(readValley(DRAWN_AREA, own, fields, cols, heightM, areas), drawn), ...read]
  },

  /** An area drawn by hand, measured like those found; null where it holds no ground. */
  measure(outline: Polygon): (Omit<FoundArea, 'id'> & { readonly levelShare: number }) | null {
    const { terrain, locator, surface, cellM, shape, level } = theSite()
    const cells = cellsOfShapes(shapesOnGrid(outline, locator), terrain).filter(
      (cell) => !Number.isNaN(terrain.heights[cell]),
    )
    if (cells.length === 0) return null
    const ground = { ...terrain, ...surface }
    const area = describeArea(Uint32Array.from(cells), ground, shape.slopeDeg, cellM)
    const { cols } = terrain
    return {
      at: locator.toLatLon({ col: area.middle % cols, row: Math.floor(area.middle / cols) }),
      sizeM2: area.sizeM2,
      runM: area.runM,
      runDeg: runBearingDeg(area, terrain, locator),
      meanSlopeDeg: area.meanSlopeDeg,
      heightM: area.meanHeightM,
      levelShare: cells.filter((cell) => level[cell]).length / cells.length,
    }
  },

  /** Outlines of several areas, for the map. */
  outlines(generation: number, ids: readonly number[]): Polygon[] | null {
    if (generation !== foundGeneration) return null
    return ids.flatMap((id) => (found[id] ? [outlineOf(found[id], theSite().terrain)] : []))
  },
}

function isSameMemory(a: Float32Array, b: Float32Array): boolean {
  return a.buffer === b.buffer && a.byteOffset === b.byteOffset && a.length === b.length
}

export type LandingWorker = typeof api
exposeSpeaking(api)
