import { computed, effect, signal } from '@preact/signals'
import type { LineString } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import { geodesic } from '../../core/geodesy/geodesic'
import { resolveEnd } from '../../core/propagation/path'
import { colsAlong, type Col } from '../../core/route/cols'
import { shapesOnGrid } from '../../core/terrain/shapes'
import { insertWaypoint } from '../../core/route/route'
import { airTask, changeRoute, newWaypoint } from './route'
import { routeThreads, spareRouteThread } from './routeThreads'
import { setup } from './setup'
import { mapView } from './site'
import { locator, terrain } from './terrain'
import { say } from '../../core/words/say'
import { trackWork } from './work'

/** A col and what it takes to cross there. */
export interface Crossing extends Col, LatLon {
  readonly distanceM: number
  readonly bearingDeg: number
  /** Clear heights over it, metres above ground. */
  readonly sightM: number
  readonly fresnelM: number
  /** Lowest height with the wanted margin of the picture; Infinity where there is none. */
  readonly marginFloorM: number
  /** Margin of the picture at the flying height, dB. */
  readonly marginDb: number
  /** From the launch point's ground up to the clear height over the col, metres. */
  readonly climbM: number
}

/** Shallower saddles are no ridge crossings, metres. */
const LEAST_DEPTH_M = 15
/** Of the cols in view only the deepest so many are looked at. */
const MOST_CROSSINGS = 60

/** Cols found: of the whole site, of which those in view are shown, or along a drawn ridge. */
const found = signal<{
  readonly of: unknown
  readonly cols: readonly Col[]
  readonly isRidge: boolean
} | null>(null)

const current = computed(() => (found.value?.of === terrain.value ? found.value : null))
export const areColsShown = computed(() => current.value !== null)
export const isRidgeShown = computed(() => current.value?.isRidge ?? false)

/** Finds the cols of the whole site. */
export async function findColsInView(): Promise<void> {
  const grid = terrain.peek()
  const tracked = trackWork(say('cols.findingCols'), null)
  const cols = await spareRouteThread.cols(LEAST_DEPTH_M)
  tracked.end()
  if (grid && terrain.peek() === grid) found.value = { of: grid, cols, isRidge: false }
}

/** Finds the cols along a ridge line. */
export function findColsAlong(ridge: LineString): void {
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place) return
  const [path] = shapesOnGrid(ridge, place).lines
  const cols = colsAlong(grid.heights, grid, path, LEAST_DEPTH_M)
  found.value = { of: grid, cols, isRidge: true }
}

export function forgetCols(): void {
  found.value = null
}

/** Makes a col the next waypoint, as high as its Fresnel zone asks and not lower than the route. */
export function addCrossing(col: Crossing): void {
  const { route } = setup.peek()
  const fresh = newWaypoint(col, route.waypoints.at(-1))
  const needed = Math.ceil(Number.isNaN(col.fresnelM) ? 0 : col.fresnelM)
  const over = fresh.heightOver === 'ground' ? 0 : col.groundM
  const heightM = Math.max(fresh.heightM, Math.ceil(over + needed))
  changeRoute(insertWaypoint(route, route.waypoints.length, { ...fresh, heightM }))
}

/** The cols to look at: those of the ridge, or the deepest in view. */
const wanted = computed((): readonly (Col & LatLon)[] => {
  const [now, grid, place, view] = [current.value, terrain.value, locator.value, mapView.value]
  if (!now || !grid || !place) return []
  const placed = now.cols.map((col) => ({
    ...col,
    ...place.toLatLon({ col: col.cell % grid.cols, row: Math.floor(col.cell / grid.cols) }),
  }))
  const inView = now.isRidge || !view ? placed : placed.filter((at) => view.contains(at))
  return inView.slice(0, MOST_CROSSINGS)
})

/** The cols looked at, deepest first. */
export const crossings = signal<readonly Crossing[]>([])

let serial = 0
const flyingHeight = computed(() => setup.value.flyingHeightM)

effect(() => {
  const [cols, task, heightM] = [wanted.value, airTask.value, flyingHeight.value]
  void lookOver(cols, task, heightM)
})

async function lookOver(
  cols: readonly (Col & LatLon)[],
  task: typeof airTask.value,
  heightM: number,
): Promise<void> {
  const own = ++serial
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place || cols.length === 0) {
    crossings.value = []
    return
  }
  const columns = await routeThreads[0].air(task, {
    cols: Float64Array.from(cols, ({ cell }) => cell % grid.cols),
    rows: Float64Array.from(cols, ({ cell }) => Math.floor(cell / grid.cols)),
    aglM: new Float64Array(cols.length).fill(heightM),
  })
  if (own !== serial || terrain.peek() !== grid) return
  if (typeof columns === 'string') {
    crossings.value = []
    return
  }
  const { groundM } = resolveEnd(grid, place, { ...task.launch, heightM: 0 })
  crossings.value = cols.map((col, i): Crossing => {
    const { sightM, fresnelM, marginFloorsM, marginsDb } = columns[i]
    return {
      ...col,
      ...geodesic(task.launch, col),
      sightM,
      fresnelM,
      marginFloorM: marginFloorsM[0],
      marginDb: marginsDb[0],
      climbM: col.groundM + fresnelM - groundM,
    }
  })
}
