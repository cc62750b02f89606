import type { Polygon } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import { levelGround } from '../../core/landing/flatGround'
import { groundShape, type GroundShape } from '../../core/landing/slope'
import { checkStart, unwalkable, walkFrom, type WalkSettings } from '../../core/landing/walk'
import { judgeSpot, type ExactSpot, type SpotTask } from '../../core/launch/exactSpot'
import { LaunchHeat, type HeatSettings, type HeatSums, type Target } from '../../core/launch/heat'
import {
  bestPair,
  bestSpots,
  findCandidates,
  type Candidates,
  type StandLimits,
} from '../../core/launch/spots'
import { Flyer, flyRoute, type FlightSettings } from '../../core/energy/flight'
import type { Route } from '../../core/route/route'
import { routeLine } from '../../core/route/routeLine'
import type { Surface } from '../../core/surface/surface'
import { cellIndex, GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { cellsOfShapes, shapesOnGrid } from '../../core/terrain/shapes'
import { errorsAsData, type Outcome } from './outcome'
import { exposeSpeaking } from './threadLanguage'

/** Where one may stand. */
export interface StandTask {
  readonly inside: Polygon | null
  readonly limits: StandLimits
  /** Walking begins here. */
  readonly from: LatLon
  readonly fromLabel: string
  readonly walk: WalkSettings
}

/** A spot with everything that is listed of it. */
export interface ListedSpot extends ExactSpot {
  /** Share by the search, before the exact look. */
  readonly searchedShare: number
  readonly slopeDeg: number
  /** Seconds on foot; null where nobody gets. */
  readonly walkS: number | null
}

/** A place as it is compared. */
export interface ComparedSpot extends ExactSpot {
  /** Share of the pack left at the end of the route begun there; null without a route. */
  readonly leftShare: number | null
}

export interface SpotList {
  readonly spots: readonly ListedSpot[]
  /** Two of them that together have most targets with the wanted margin. */
  readonly pair: { readonly first: number; readonly second: number; readonly share: number } | null
}

interface Site {
  readonly terrain: TerrainGrid
  readonly locator: GridLocator
  readonly surface: Surface
  readonly cellM: number
}

let site: Site | null = null
let shape: GroundShape | null = null
let level: Uint8Array | null = null
let candidates: Candidates | null = null
let walkS: Float32Array | null = null
let heat: LaunchHeat | null = null

function theSite(): Site {
  if (!site) throw new Error('launch spots were asked for before there was a terrain')
  return site
}

/** Spots are at least so far apart, metres. */
const SPACING_M = 250
const MOST_SPOTS = 12
/** So many of the search are looked at exactly: it takes the antenna as aimed anew at each target. */
const MOST_JUDGED = 36

const api = {
  setSite(terrain: TerrainGrid, surface: Surface): void {
    const locator = new GridLocator(terrain)
    const cellM = locator.groundCellM({ col: terrain.cols / 2, row: terrain.rows / 2 })
    site = { terrain, locator, surface, cellM }
    shape = level = candidates = walkS = heat = null
  },

  /** Finds the ground to stand on and makes ready for targets. */
  begin(
    task: StandTask,
    settings: Omit<HeatSettings, 'groundCellM'>,
  ): Promise<Outcome<Candidates>> {
    return errorsAsData(async () => {
      const { terrain, locator, surface, cellM } = theSite()
      const { heights, cols, rows } = terrain
      shape ??= groundShape(heights, cols, rows, cellM)
      level ??= levelGround(heights, cols, cellM)
      const start = cellIndex(terrain, locator.toGrid(task.from))
      checkStart(start, task.fromLabel, heights, level)
      const out = unwalkable(level, shape.slopeDeg, task.walk)
      walkS = walkFrom(heights, cols, rows, start, out, cellM, task.walk).timeS
      let inside: Uint8Array | null = null
      if (task.inside) {
        inside = new Uint8Array(heights.length)
        for (const cell of cellsOfShapes(shapesOnGrid(task.inside, locator), terrain)) {
          inside[cell] = 1
        }
      }
      const { slopeDeg } = shape
      candidates = findCandidates(heights, cols, slopeDeg, level, inside, walkS, task.limits)
      // Vegetation is left to the exact look: around the pilot there is none.
      const ground = { ...terrain, bare: surface.bare, covered: surface.bare }
      heat = new LaunchHeat(ground, candidates.window, { ...settings, groundCellM: cellM })
      return candidates
    })
  },

  /** Adds targets; the sums so far. */
  add(targets: readonly Target[]): HeatSums | null {
    if (!heat) return null
    for (const target of targets) heat.add(target)
    return heat.sums
  },

  /** The best spots of the search, looked at exactly. */
  list(
    score: keyof HeatSums,
    task: SpotTask,
    targets: readonly Target[],
  ): Promise<Outcome<SpotList | null>> {
    return errorsAsData(async () => {
      const { terrain, locator, surface, cellM } = theSite()
      if (!heat || !candidates || !shape || !walkS) return null
      const [{ cols }, times, slopes] = [terrain, walkS, shape.slopeDeg]
      const total = targets.reduce((sum, { weight }) => sum + weight, 0)
      const spacing = SPACING_M / cellM
      const found = bestSpots(
        heat.sums[score],
        candidates,
        times,
        cols,
        total,
        spacing,
        MOST_JUDGED,
      )
      const seen = { ...surface, clearingM: task.clearingM }
      const judged = found.map(({ cell, share }): ListedSpot => {
        const at = locator.toLatLon({ col: cell % cols, row: Math.floor(cell / cols) })
        return {
          ...judgeSpot(terrain, locator, seen, at, task, targets),
          searchedShare: share,
          slopeDeg: slopes[cell],
          walkS: Number.isFinite(times[cell]) ? times[cell] : null,
        }
      })
      judged.sort((a, b) => b[score] - a[score] || (b.worstDb || 0) - (a.worstDb || 0))
      const spots = judged.slice(0, MOST_SPOTS)
      const weights = targets.map(({ weight }) => weight)
      const pair = bestPair(
        spots.map(({ hits }) => hits[score]),
        weights,
      )
      return { spots, pair }
    })
  },

  /** Exact figures of any place for a comparison, and what the route flown from there leaves. */
  compare(
    terrain: TerrainGrid,
    surface: Surface,
    at: LatLon,
    task: SpotTask,
    targets: readonly Target[],
    route: Route,
    settings: FlightSettings,
  ): Promise<Outcome<ComparedSpot>> {
    return errorsAsData(async () => {
      const locator = new GridLocator(terrain)
      const seen = { ...surface, clearingM: task.clearingM }
      const spot = judgeSpot(terrain, locator, seen, at, task, targets)
      if (route.waypoints.length === 0) return { ...spot, leftShare: null }
      const flyer = new Flyer(settings)
      const flight = flyRoute(flyer, routeLine(terrain, locator, surface, at, route))
      const taken = flight.landed?.takenMah ?? flight.takenMah[flight.takenMah.length - 1]
      return { ...spot, leftShare: flyer.pack.leftShare(taken) }
    })
  },
}

export type LaunchWorker = typeof api
exposeSpeaking(api)
