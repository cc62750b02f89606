import type { SweepSettings } from '../../core/coverage/fan'
import { Flyer, type Flight, type FlightSettings } from '../../core/energy/flight'
import { returnShares } from '../../core/energy/returnArea'
import { turnsOf, type Turns } from '../../core/energy/turns'
import { PilotError } from '../../core/errors'
import type { LatLon } from '../../core/geodesy/earth'
import { isolines, type Isoline } from '../../core/picture/isolines'
import { resolveEnd, type PathEnd, type RadioSettings } from '../../core/propagation/path'
import type { Link } from '../../core/radio/link'
import { AirColumns, type AirColumn } from '../../core/route/airColumns'
import { findCols, type Col } from '../../core/route/cols'
import type { RouteLine } from '../../core/route/routeLine'
import type { Site } from '../../core/surface/site'
import type { Surface } from '../../core/surface/surface'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { exposeSpeaking } from './threadLanguage'

/** Where the air is looked at from, and with what. */
export interface AirTask {
  readonly launch: PathEnd
  readonly radio: RadioSettings
  readonly links: readonly Link[]
  readonly clearingM: number
}

/** Places on the grid and heights above ground over them. */
export interface AirPlaces {
  readonly cols: Float64Array
  readonly rows: Float64Array
  readonly aglM: Float64Array
}

let site: Site | null = null

function theSite(): Site {
  if (!site) throw new Error('a route was asked about before there was a terrain')
  return site
}

const api = {
  setSite(terrain: TerrainGrid, surface: Surface): void {
    site = { terrain, locator: new GridLocator(terrain), surface }
  },

  /** The air over places, or why there is none. */
  air(task: AirTask, { cols, rows, aglM }: AirPlaces): AirColumn[] | string {
    const { terrain, locator, surface } = theSite()
    try {
      const launch = resolveEnd(terrain, locator, task.launch)
      const seen = { ...surface, clearingM: task.clearingM }
      const columns = new AirColumns(terrain, locator, seen, launch, task.radio, task.links)
      return Array.from(cols, (col, i) => columns.over({ col, row: rows[i] }, aglM[i]))
    } catch (error) {
      if (error instanceof PilotError) return error.message
      throw error
    }
  },

  /** Where a flight must turn, and where it can land on the way. */
  turns(
    line: RouteLine,
    flight: Flight,
    settings: FlightSettings,
    clearanceM: number,
    places: readonly LatLon[],
  ): Turns {
    return turnsOf(theSite(), new Flyer(settings), line, flight, clearanceM, places)
  },

  /** The border of where an aircraft gets to and back from, as lines on the map. */
  returnBorder(
    sweep: SweepSettings,
    northRad: number,
    launchGroundM: number,
    settings: FlightSettings,
    heightM: number,
  ): Isoline[] {
    const { terrain, surface } = theSite()
    const ground = { ...terrain, ...surface }
    const flyer = new Flyer(settings)
    const shares = returnShares(ground, sweep, northRad, launchGroundM, flyer, heightM)
    return isolines(shares, terrain, [1])
  },

  cols(leastDepthM: number): Col[] {
    const { terrain } = theSite()
    return findCols(terrain.heights, terrain, leastDepthM)
  },
}

export type RouteWorker = typeof api
exposeSpeaking(api)
