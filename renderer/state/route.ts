import { computed, effect, signal } from '@preact/signals'
import { divertAt } from '../../core/energy/divert'
import { Flyer, flyRoute, type Flight, type FlightSettings } from '../../core/energy/flight'
import type { Turns } from '../../core/energy/turns'
import type { LatLon } from '../../core/geodesy/earth'
import { geodesic } from '../../core/geodesy/geodesic'
import { resolveEnd } from '../../core/propagation/path'
import type { AirColumn } from '../../core/route/airColumns'
import {
  columnSamples,
  conflictsOf,
  spreadColumns,
  type Conflict,
  type RouteAir,
} from '../../core/route/corridor'
import { liftToFloor } from '../../core/route/lift'
import {
  changeWaypoint,
  insertWaypoint,
  NO_ROUTE,
  waypointAt,
  type Route,
  type Waypoint,
} from '../../core/route/route'
import { routeLine, type Leg, type RouteLine } from '../../core/route/routeLine'
import { cellIndex, GridLocator } from '../../core/terrain/grid'
import type { AirTask } from '../workers/route.worker'
import { coverage, type Coverage } from './coverage'
import { routeThreads, spareRouteThread } from './routeThreads'
import { changeSetup, setup } from './setup'
import { surface } from './surface'
import { locator, terrain } from './terrain'
import { say } from '../../core/words/say'
import { notice, orSentence } from './work'

const route = computed(() => setup.value.route)
const launch = computed(() => setup.value.launch)
export const hasRoute = computed(() => route.value.waypoints.length > 0)

/** The route over the terrain, or why it has no line; null without a route. */
export const line = computed((): RouteLine | string | null => {
  const [grid, place, stands] = [terrain.value, locator.value, surface.value]
  if (!grid || !place || !stands || !hasRoute.value) return null
  return orSentence(() => routeLine(grid, place, stands, launch.value, route.value))
})

/** The line where there is one. */
export const flownLine = computed(() => (typeof line.value === 'string' ? null : line.value))

// ---- the air along the route ----

const antennaHeight = computed(() => setup.value.antennaHeightM)
const radio = computed(() => setup.value.radio)
const video = computed(() => setup.value.video)
const control = computed(() => setup.value.control)
const clearing = computed(() => setup.value.clearingM)

/** What columns depend on besides their place; the same object while none of it changes. */
export const airTask = computed((): AirTask => ({
  launch: { ...launch.value, label: say('common.launchPointInText'), heightM: antennaHeight.value },
  radio: radio.value,
  links: [video.value, control.value],
  clearingM: clearing.value,
}))

/** Columns of legs looked at, for the site and task they belong to. */
const looked = signal<{ site: unknown; task: AirTask; legs: ReadonlyMap<string, AirColumn[]> }>({
  site: null,
  task: airTask.peek(),
  legs: new Map(),
})
/** More legs than this are forgotten together. */
const MOST_LEGS_KEPT = 2000

/** The first leg has the column over the launch point as well, so it is another than a later one. */
const legKey = ({ from, to, shape }: Leg, index: number) => {
  const ends = [from, to].map(({ latDeg, lonDeg, amslM }) => `${latDeg},${lonDeg},${amslM}`)
  return `${ends.join(';')} ${shape} ${index === 0 ? 'first' : ''}`
}

/** Samples of each leg over which the air is looked at, the leg's first station left out. */
function samplesOfLegs(its: RouteLine): number[][] {
  const legs: number[][] = its.legs.map(() => [])
  for (const sample of columnSamples(its)) if (sample > 0) legs[its.legOf[sample]].push(sample)
  // The station over the launch point goes with the first leg.
  legs[0].unshift(0)
  return legs
}

const kept = computed(() => {
  const found = looked.value
  return found.site === surface.value && found.task === airTask.value ? found.legs : null
})

/** True while part of the corridor is the first rough look. */
export const isCorridorRough = computed(
  () => flownLine.value?.legs.some((leg, i) => !kept.value?.has(legKey(leg, i))) ?? false,
)

/** The air over every sample: exact where it was looked at, from the fields where not yet. */
export const routeAir = computed((): RouteAir | null => {
  const its = flownLine.value
  if (!its) return null
  const fields = coverage.value
  const columns = samplesOfLegs(its).flatMap(
    (samples, leg) =>
      kept.value?.get(legKey(its.legs[leg], leg)) ?? roughColumns(its, samples, fields),
  )
  return spreadColumns(its.distanceM.length, columnSamples(its), columns)
})

/** A first look at the air, from the clear heights of the whole site. */
function roughColumns(
  its: RouteLine,
  samples: readonly number[],
  fields: Coverage | null,
): AirColumn[] {
  const place = fields && new GridLocator(fields.frame)
  return samples.map((sample) => {
    const at = { col: its.cols[sample], row: its.rows[sample] }
    const ground = locator.peek()
    let cell = -1
    if (fields && place && ground) {
      const onFrame = fields.frame === terrain.peek() ? at : place.toGrid(ground.toLatLon(at))
      cell = cellIndex(fields.frame, onFrame)
    }
    const height = (field: Float32Array | undefined) =>
      field && cell >= 0 ? Math.max(0, field[cell]) : NaN
    const fresnelM = height(fields?.fresnelM)
    return {
      sightM: height(fields?.sightM),
      fresnelM,
      marginFloorsM: [fresnelM, fresnelM],
      marginsDb: [NaN, NaN],
      shortDb: NaN,
    }
  })
}

let isLooking = false

/** Looks at legs that are new, the newest line first, until none is. */
async function lookAtNewLegs(): Promise<void> {
  if (isLooking) return
  isLooking = true
  try {
    for (;;) {
      const [its, task, site] = [flownLine.peek(), airTask.peek(), surface.peek()]
      const before = kept.peek()
      if (!its || !site) return
      const perLeg = samplesOfLegs(its)
      const missing = perLeg.flatMap((samples, leg) =>
        before?.has(legKey(its.legs[leg], leg))
          ? []
          : [{ samples, key: legKey(its.legs[leg], leg) }],
      )
      if (missing.length === 0) return
      const columns = await lookAt(
        task,
        its,
        missing.flatMap(({ samples }) => samples),
      )
      if (!columns) return
      const isFull = (before?.size ?? 0) > MOST_LEGS_KEPT
      const legs = new Map(isFull ? [] : before)
      let at = 0
      for (const { samples, key } of missing) {
        legs.set(key, columns.slice(at, at + samples.length))
        at += samples.length
      }
      looked.value = { site, task, legs }
    }
  } finally {
    isLooking = false
  }
}

/** Shares places out over the threads. */
async function lookAt(
  task: AirTask,
  its: RouteLine,
  samples: readonly number[],
): Promise<AirColumn[] | null> {
  const each = Math.ceil(samples.length / routeThreads.length)
  const parts = await Promise.all(
    routeThreads.map((thread, i) => {
      const own = samples.slice(i * each, (i + 1) * each)
      const of = (value: (sample: number) => number) => Float64Array.from(own, value)
      return thread.air(task, {
        cols: of((sample) => its.cols[sample]),
        rows: of((sample) => its.rows[sample]),
        aglM: of((sample) => its.flownM[sample] - its.groundM[sample]),
      })
    }),
  )
  const refusal = parts.find((part) => typeof part === 'string')
  return refusal === undefined ? (parts as AirColumn[][]).flat() : null
}

effect(() => {
  if (isCorridorRough.value) void lookAtNewLegs()
})

// ---- conflicts ----

const limits = computed(() => setup.value.limits)
const accepted = computed(() => setup.value.landing.accepted)

/** What is wrong along the route. */
export const conflicts = computed((): readonly Conflict[] => {
  const [its, found] = [flownLine.value, turns.value]
  const hasLanding =
    found && accepted.value.length > 0
      ? (sample: number) => divertAt(found.diverts, sample) !== null
      : null
  return its ? conflictsOf(its, routeAir.value, limits.value, hasLanding) : []
})

/** Lifts the route to its floor wherever the ceiling allows. */
export function liftRoute(): void {
  const [its, air, place] = [flownLine.peek(), routeAir.peek(), locator.peek()]
  if (!its || !air || !place) return
  changeSetup({ route: liftToFloor(route.peek(), its, air, limits.peek(), place) })
}

// ---- energy ----

const aircraft = computed(() => setup.value.aircraft)
const battery = computed(() => setup.value.battery)
const wind = computed(() => setup.value.wind)
const airspeed = computed(() => setup.value.airspeedMs)
const clearance = computed(() => limits.value.clearanceM)

const flightSettings = computed((): FlightSettings => ({
  aircraft: aircraft.value,
  battery: battery.value,
  wind: wind.value,
  airspeedMs: airspeed.value,
}))

/** The aircraft with its pack and wind, or what is wrong with them. */
export const flyer = computed((): Flyer | string =>
  orSentence(() => new Flyer(flightSettings.value)),
)

/** Names and notes of landing areas make no difference to a flight. */
let lastPlaces: readonly LatLon[] = []
const landingPlaces = computed(() => {
  const places = accepted.value.map(({ at }) => at)
  const isSame =
    places.length === lastPlaces.length && places.every((at, i) => at === lastPlaces[i])
  return isSame ? lastPlaces : (lastPlaces = places)
})

/** What a flight depends on; a new object with every change of it. */
const flightTask = computed(() => ({
  line: flownLine.value,
  settings: flightSettings.value,
  clearanceM: clearance.value,
  places: landingPlaces.value,
}))

export const flight = computed((): Flight | null => {
  const [{ line: its }, who] = [flightTask.value, flyer.value]
  return its && typeof who !== 'string' ? flyRoute(who, its) : null
})

/** Turning points with the task that they belong to. */
const turned = signal<{ readonly of: object; readonly turns: Turns } | null>(null)

/** Where to turn at the latest; null until it is worked out. */
export const turns = computed((): Turns | null => {
  const found = turned.value
  return found && found.of === flightTask.value ? found.turns : null
})

let isTurning = false

async function workOutTurns(): Promise<void> {
  if (isTurning) return
  isTurning = true
  try {
    for (;;) {
      const [task, flown] = [flightTask.peek(), flight.peek()]
      if (!task.line || !flown || turned.peek()?.of === task) return
      const { line: its, settings, clearanceM, places } = task
      const found = await spareRouteThread.turns(its, flown, settings, clearanceM, places)
      turned.value = { of: task, turns: found }
    }
  } finally {
    isTurning = false
  }
}

/** The map and the chart follow the hand first, then come battery and turning points. */
export const LATER_MS = 40
let turnTimer: ReturnType<typeof setTimeout> | undefined

effect(() => {
  if (!flightTask.value.line) return
  turnTimer ??= setTimeout(() => {
    turnTimer = undefined
    void workOutTurns()
  }, LATER_MS)
})

// ---- the area of return ----

/** True where the map shows where the aircraft gets to and back from. */
export const isReturnShown = signal(false)
/** Its border; null until it is worked out. */
export const returnBorder = signal<readonly (readonly LatLon[])[] | null>(null)

const flyingHeight = computed(() => setup.value.flyingHeightM)
let returnSerial = 0

effect(() => {
  const fields = coverage.value
  const [settings, who, heightM] = [flightSettings.value, flyer.value, flyingHeight.value]
  const serial = ++returnSerial
  const isWanted = isReturnShown.value && typeof who !== 'string'
  if (!isWanted || !fields || fields.isPreview) {
    // While the launch point is dragged the old border would be of another place.
    returnBorder.value = null
    return
  }
  void findBorder(fields, settings, heightM).then((border) => {
    if (serial === returnSerial) returnBorder.value = border
  })
})

async function findBorder(
  fields: Coverage,
  settings: FlightSettings,
  heightM: number,
): Promise<readonly (readonly LatLon[])[] | null> {
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place) return null
  const end = { ...fields.settings.launch, label: say('common.launchPointInText'), heightM: 0 }
  const { groundM } = resolveEnd(grid, place, end)
  const { sweep, northRad } = fields
  const found = await spareRouteThread.returnBorder(sweep, northRad, groundM, settings, heightM)
  return found.map(({ line: border }) => border)
}

// ---- the aircraft along the route ----

/** Sample of the route at which the aircraft is shown; null for nowhere. */
export const shownSample = signal<number | null>(null)

export const flownSample = computed((): number | null => {
  const [its, sample] = [flownLine.value, shownSample.value]
  return its && sample !== null ? Math.min(sample, its.distanceM.length - 1) : null
})

/** Position of a sample. */
export function placeOfSample(its: RouteLine, sample: number): LatLon | null {
  const place = locator.peek()
  return place && place.toLatLon({ col: its.cols[sample], row: its.rows[sample] })
}

/** Straight distance over ground from a sample to the launch point, metres. */
export function homeDistanceM(its: RouteLine, sample: number): number {
  const at = placeOfSample(its, sample)
  return at ? geodesic(at, launch.peek()).distanceM : NaN
}

// ---- editing ----

export function changeRoute(next: Route, gesture: string | null = null): void {
  changeSetup({ route: next }, gesture)
}

export function clearRoute(): void {
  changeRoute(NO_ROUTE)
  shownSample.value = null
}

/** Says why a waypoint cannot be at a place; null where it can. */
function refusalOf(label: string, at: LatLon): string | null {
  const [grid, place] = [terrain.peek(), locator.peek()]
  if (!grid || !place) return say('route.thereNoTerrainYet')
  return orSentence(() => {
    resolveEnd(grid, place, { ...at, label, heightM: 0 })
    return null
  })
}

/**
 * Moves a waypoint where there is ground; says so and stays where not. Dragged, those at the same
 * place come along, as on a way back; typed, it goes alone.
 */
export function moveWaypointTo(index: number, at: LatLon, gesture: string | null = null): boolean {
  const refusal = refusalOf(say('route.waypointInText', { index: index + 1 }), at)
  notice.value = refusal
  if (refusal !== null) return false
  const { latDeg, lonDeg } = route.peek().waypoints[index]
  let next = route.peek()
  next.waypoints.forEach((other, i) => {
    const comesAlong = gesture !== null && other.latDeg === latDeg && other.lonDeg === lonDeg
    if (i === index || comesAlong) next = changeWaypoint(next, i, at)
  })
  changeRoute(next, gesture)
  return true
}

/** A waypoint at a place, as high as the one before it, or at the flying height. */
export function newWaypoint(at: LatLon, before?: Waypoint): Waypoint {
  const fresh = waypointAt(at, setup.peek().flyingHeightM)
  if (!before) return fresh
  const { heightM, heightOver, leg } = before
  return { ...fresh, heightM, heightOver, leg }
}

/** Puts waypoints at the end of the route, those without ground left out with a word. */
export function addWaypoints(
  places: readonly LatLon[],
  index = route.peek().waypoints.length,
  gesture: string | null = null,
): void {
  let next = route.peek()
  let refused: string | null = null
  let put = index
  for (const at of places) {
    const refusal = refusalOf(say('route.waypointAfter', { put: put + 1 }), at)
    if (refusal !== null) refused ??= refusal
    else {
      next = insertWaypoint(next, put, newWaypoint(at, next.waypoints[put - 1]))
      put++
    }
  }
  notice.value = refused
  if (put > index) changeRoute(next, gesture)
}
