import { computed, effect, signal } from '@preact/signals'
import type { Polygon } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import { prepareSweep } from '../../core/coverage/clearHeights'
import { LANDED_HEIGHT_M } from '../../core/landing/landing'
import type { ExactSpot } from '../../core/launch/exactSpot'
import { windowCols, type HeatSums, type Target } from '../../core/launch/heat'
import {
  longestGapM,
  USUAL_STAND,
  type Candidates,
  type StandLimits,
} from '../../core/launch/spots'
import {
  checkTargets,
  MOST_TARGETS,
  targetOver,
  targetsOfCells,
  targetsOfRoute,
} from '../../core/launch/targets'
import type { Surface } from '../../core/surface/surface'
import { cellIndex, GridLocator, type GridFrame, type TerrainGrid } from '../../core/terrain/grid'
import { cellsOfShapes, shapesOnGrid } from '../../core/terrain/shapes'
import type { ComparedSpot, LaunchWorker, SpotList } from '../workers/launch.worker'
import { crossings } from './cols'
import { flownLine } from './route'
import { changeSetup, setup } from './setup'
import { surface } from './surface'
import { pool, useGround, withPool } from './sweeping'
import { locator, terrain } from './terrain'
import { lateThread } from './threads'
import { say } from '../../core/words/say'
import { notice, orSentence, trackWork } from './work'

const thread = lateThread<LaunchWorker>(
  () => new Worker(new URL('../workers/launch.worker.ts', import.meta.url), { type: 'module' }),
)

/** How much each kind of target counts; 0 leaves it out. */
export interface TargetWeights {
  readonly route: number
  readonly cols: number
  readonly area: number
}
export const targetWeights = signal<TargetWeights>({ route: 1, cols: 0, area: 1 })

/** What a spot is judged by. */
export type Score = keyof HeatSums
export const score = signal<Score>('margin')

export const standLimits = signal<StandLimits>({ ...USUAL_STAND, longestWalkS: 3600 })
/** Spots are looked for inside; null for wherever the walk leads. */
export const standArea = signal<Polygon | null>(null)

/** True while the map shows the heat where there is any. */
export const isHeatShown = signal(true)
/** The heat found, as shares of the whole grid; NaN where nobody can stand. */
export const heat = signal<{
  readonly frame: GridFrame
  readonly shares: Float32Array
  readonly most: number
} | null>(null)
export const spotList = signal<SpotList | null>(null)
export const searchProblem = signal<string | null>(null)
export const isLooking = signal(false)
/** The spot pointed at in the list. */
export const chosenSpot = signal<number | null>(null)

/** How many targets each kind gets. */
const mostAKind = computed(() => {
  const { route, cols, area } = targetWeights.value
  const isArea = area > 0 && setup.value.reading?.type === 'Polygon'
  const kinds = Number(route > 0 && flownLine.value !== null) + Number(isArea) + Number(cols > 0)
  return Math.floor(MOST_TARGETS / Math.max(1, kinds))
})

/** Everything that should be in the picture. */
export const targets = computed((): readonly Target[] => {
  const [grid, place] = [terrain.value, locator.value]
  if (!grid || !place) return []
  const { route, cols, area } = targetWeights.value
  const line = flownLine.value
  const { reading, flyingHeightM } = setup.value
  const isArea = area > 0 && reading?.type === 'Polygon'
  const most = mostAKind.value
  return [
    ...(line && route > 0 ? targetsOfRoute(line, route, most) : []),
    ...(cols > 0
      ? crossings.value
          .slice(0, most)
          .flatMap((col, _, all) =>
            targetOver(place.toGrid(col), grid, flyingHeightM, cols / all.length),
          )
      : []),
    ...(isArea && reading
      ? targetsOfCells(
          cellsOfShapes(shapesOnGrid(reading, place), grid),
          grid,
          flyingHeightM,
          area,
          most,
        )
      : []),
  ]
})

/** Launch points side by side, by the targets they were judged with. */
export const compared = signal<readonly Compared[]>([])

/** Targets added before the heat is shown again. */
const CHUNK = 10
let serial = 0

export function forgetSpots(): void {
  serial++
  compared.value = []
  isHeatShown.value = true
  heat.value = null
  spotList.value = null
  searchProblem.value = null
  chosenSpot.value = null
  isLooking.value = false
}

// Another terrain or surface has other spots.
effect(() => {
  void [terrain.value, surface.value]
  forgetSpots()
})

/** Everything that what was found depends on. */
const inputs = computed(() => {
  const {
    route,
    antennaHeightM,
    radio,
    video,
    clearingM,
    limits,
    landing,
    reading,
    flyingHeightM,
  } = setup.value
  return [
    ...[route, antennaHeightM, radio, video, clearingM, limits.ceilingM, reading, flyingHeightM],
    ...[landing.walk, landing.roadHead ?? setup.value.launch],
    ...[targetWeights.value, standLimits.value, standArea.value, score.value],
  ]
})
const searchedWith = signal<readonly unknown[] | null>(null)

/** True where something has changed since the search: the figures are of before. */
export const isStale = computed(
  () =>
    searchedWith.value !== null &&
    inputs.value.some((value, i) => value !== searchedWith.value?.[i]),
)

// A sentence about targets is over when there are others.
effect(() => {
  void targets.value
  searchProblem.value = null
})

/** Looks for the best spots: heat first, target by target, then the best of them exactly. */
export async function findSpots(): Promise<void> {
  const [grid, stands] = [terrain.peek(), surface.peek()]
  if (!grid || !stands) return
  forgetSpots()
  const own = serial
  const wanted = spread(targets.peek())
  const refusal = orSentence(() => {
    checkTargets(wanted)
    return null
  })
  if (refusal !== null) {
    searchProblem.value = refusal
    return
  }
  isLooking.value = true
  searchedWith.value = inputs.peek()
  const tracked = trackWork(say('launchSpots.lookingLaunchSpots'), forgetSpots)
  try {
    await thread().setSite(grid, stands)
    const { launch, landing, antennaHeightM, radio, video } = setup.peek()
    const { kFactor, fresnelFraction } = radio
    const outcome = await thread().begin(
      {
        inside: standArea.peek(),
        limits: standLimits.peek(),
        from: landing.roadHead ?? launch,
        fromLabel: landing.roadHead
          ? say('common.roadHeadInText')
          : say('common.launchPointInText'),
        walk: landing.walk,
      },
      { antennaHeightM, kFactor, fresnelFraction, link: video },
    )
    if (own !== serial || outcome.kind === 'cancelled') return
    if (outcome.kind === 'failed') {
      searchProblem.value = outcome.sentence
      return
    }
    let weight = 0
    for (let from = 0; from < wanted.length; from += CHUNK) {
      const chunk = wanted.slice(from, from + CHUNK)
      const sums = await thread().add(chunk)
      if (own !== serial || !sums) return
      weight += chunk.reduce((sum, target) => sum + target.weight, 0)
      heat.value = heatOf(grid, outcome.value, sums[score.peek()], weight)
      tracked.report((from + chunk.length) / wanted.length)
    }
    const listed = await thread().list(score.peek(), spotTask(), wanted)
    if (own !== serial) return
    if (listed.kind === 'failed') searchProblem.value = listed.sentence
    if (listed.kind === 'done') spotList.value = listed.value
  } finally {
    tracked.end()
    if (own === serial) isLooking.value = false
  }
}

function spotTask() {
  const { antennaHeightM, radio, video, clearingM, limits } = setup.peek()
  return { antennaHeightM, radio, link: video, clearingM, ceilingM: limits.ceilingM }
}

/** The same targets in an order that soon has some of everywhere. */
function spread(all: readonly Target[]): Target[] {
  const stride = 7
  return Array.from({ length: stride }, (_, k) => all.filter((_, i) => i % stride === k)).flat()
}

/** Weights of the window as shares on the whole grid. */
function heatOf(
  frame: GridFrame,
  { mask, window }: Candidates,
  sums: Float32Array,
  weight: number,
) {
  const shares = new Float32Array(mask.length).fill(NaN)
  const width = windowCols(window)
  let most = 1e-6
  for (let i = 0; i < sums.length; i++) {
    const row = window.north + Math.floor(i / width)
    const cell = row * frame.cols + window.west + (i % width)
    if (!mask[cell]) continue
    shares[cell] = sums[i] / weight
    most = Math.max(most, shares[cell])
  }
  return { frame, shares, most }
}

/** Takes a spot into the plan: the launch point goes there, the video antennas as aimed. */
export function standAt(spot: ExactSpot): void {
  const { video } = setup.peek()
  const branches = video.branches.map((branch, i) => ({
    ...branch,
    aim: spot.aims[i] ?? branch.aim,
  }))
  // What matters now is the picture from there.
  isHeatShown.value = false
  const { latDeg, lonDeg } = spot.at
  changeSetup({ launch: { latDeg, lonDeg }, video: { ...video, branches } })
}

// ---- comparison ----

export const MOST_COMPARED = 4

/** A launch point beside others. */
export interface Compared extends ComparedSpot {
  readonly name: string
  /** Share of the site with a free Fresnel zone at the flying height. */
  readonly siteShare: number
  /** Longest stretch of the route without the wanted margin, metres; null without a route. */
  readonly gapM: number | null
  readonly flyingHeightM: number
  /** Landing areas of the plan in sight down to the ground. */
  readonly seenLandings: number
}

/** Adds a spot, or the launch point as it is, to the comparison. */
export async function compare(name: string, at: LatLon): Promise<void> {
  const [grid, stands, wanted] = [terrain.peek(), surface.peek(), targets.peek()]
  const refusal = orSentence(() => {
    checkTargets(wanted)
    return null
  })
  searchProblem.value = refusal
  if (!grid || !stands || refusal !== null) return
  const others = compared.peek().filter((each) => each.name !== name)
  if (others.length >= MOST_COMPARED) {
    notice.value = say('launchSpots.placesComparedAlreadyTake', { most: MOST_COMPARED })
    return
  }
  const own = serial
  const tracked = trackWork(say('launchSpots.comparing', { name }), null)
  try {
    const { route, aircraft, battery, wind, airspeedMs } = setup.peek()
    const flying = { aircraft, battery, wind, airspeedMs }
    const outcome = await thread().compare(grid, stands, at, spotTask(), wanted, route, flying)
    if (outcome.kind === 'failed') notice.value = outcome.sentence
    if (outcome.kind !== 'done') return
    const spot = outcome.value
    const around = await lookAround(grid, stands, at)
    if (own !== serial || terrain.peek() !== grid) return
    const gapM = longestGapM(wanted, spot.hits.margin)
    const before = compared.peek().filter((each) => each.name !== name)
    compared.value = [...before, { ...spot, ...around, name, gapM }]
  } finally {
    tracked.end()
  }
}

/** What of the whole site, and of the landing areas, a place has in the picture. */
async function lookAround(
  grid: TerrainGrid,
  stands: Surface,
  at: LatLon,
): Promise<Pick<Compared, 'siteShare' | 'seenLandings' | 'flyingHeightM'>> {
  const { antennaHeightM, radio, clearingM, flyingHeightM, landing } = setup.peek()
  // The whole site, whatever part of it is looked at now.
  const all = { radiusM: null, sector: null }
  const settings = { launch: at, antennaHeightM, radio, clearingM, ...all }
  const { sweep } = prepareSweep(grid, settings)
  return withPool(async () => {
    await useGround({ ...grid, ...stands })
    const fields = await pool.sweep(sweep, {})
    let [clear, known] = [0, 0]
    for (const height of fields.fresnelM) {
      if (Number.isNaN(height)) continue
      known++
      if (height <= flyingHeightM) clear++
    }
    const place = new GridLocator(grid)
    const seenLandings = landing.accepted.filter(({ at: spot }) => {
      const cell = cellIndex(grid, place.toGrid(spot))
      return cell >= 0 && fields.sightM[cell] <= LANDED_HEIGHT_M
    }).length
    pool.recycle(fields)
    return { siteShare: clear / known, seenLandings, flyingHeightM }
  })
}

export function dropCompared(name: string): void {
  compared.value = compared.peek().filter((each) => each.name !== name)
}
