import { prepareSweep } from '../coverage/clearHeights'
import { horizonFrom, type Horizon } from '../coverage/horizon'
import { PilotError } from '../errors'
import type { LatLon } from '../geodesy/earth'
import { plannedAreas, type GroundPictures, type PlannedAreas } from '../landing/plannedAreas'
import type { Plan } from '../plan/plan'
import { launchOf, reckon, type Reckoning } from '../plan/reckoning'
import { pathProfile, type ResolvedEnd } from '../propagation/path'
import type { Budget, PathGeometry } from '../radio/budget'
import type { Link } from '../radio/link'
import { columnSamples } from '../route/corridor'
import { geometryOfPath, pathBudget } from '../radio/pathBudget'
import { say } from '../words/say'
import type { Site } from '../surface/site'

/** What a field brief is made of. */
export interface BriefTask {
  readonly site: Site
  readonly plan: Plan
  /** A place looked at besides the route; null for none. */
  readonly target: LatLon | null
  readonly pictures: GroundPictures
  /** Vertical error of the terrain, metres. */
  readonly errorM: number
}

/** Both links toward one place. */
export interface PlaceBudget {
  readonly title: string
  readonly at: LatLon
  /** Of the aircraft. */
  readonly aglM: number
  readonly amslM: number
  readonly distanceM: number
  readonly geometry: PathGeometry
  readonly links: readonly { readonly link: Link; readonly budget: Budget }[]
}

/** Everything a field brief says, worked out of a plan and its terrain. */
export interface FieldBrief extends BriefTask {
  readonly launch: ResolvedEnd
  /** What follows from the route; a sentence where it has no line, null where there is none. */
  readonly reckoning: Reckoning | string | null
  readonly landings: PlannedAreas
  readonly horizon: Horizon
  readonly budgets: readonly PlaceBudget[]
}

/** Works out all that a brief says. Throws a PilotError where the launch point has no ground. */
export function gatherBrief(task: BriefTask): FieldBrief {
  const { site, plan, pictures } = task
  const { terrain, surface } = site
  const reckoning = plan.route.waypoints.length > 0 ? reckonOrSay(site, plan) : null
  const { sweep, northRad } = prepareSweep(terrain, plan)
  return {
    ...task,
    launch: launchOf(site, plan),
    reckoning,
    landings: plannedAreas(site, plan, pictures),
    horizon: horizonFrom({ ...terrain, ...surface }, sweep, northRad),
    budgets: placesOf(task, reckoning).flatMap(([title, at, aglM]) => {
      const found = budgetTo(task, title, at, aglM)
      return found ? [found] : []
    }),
  }
}

function reckonOrSay(site: Site, plan: Plan): Reckoning | string {
  try {
    return reckon(site, plan)
  } catch (error) {
    if (error instanceof PilotError) return error.message
    throw error
  }
}

type Place = readonly [title: string, at: LatLon, aglM: number]

/** The target, and where along the route each link has least over its wanted margin. */
function placesOf({ site, plan, target }: BriefTask, found: Reckoning | string | null): Place[] {
  const places: Place[] = []
  if (target) places.push([say('common.target'), target, plan.flyingHeightM])
  if (!found || typeof found === 'string') return places
  const { line, air } = found
  const looked = columnSamples(line).filter((sample) => !Number.isNaN(air.shortDb[sample]))
  const weakest = (margins: Float64Array) =>
    looked.reduce((worst, i) => (margins[i] < margins[worst] ? i : worst), looked[0])
  if (looked.length === 0) return places
  const samples = [weakest(air.videoDb), weakest(air.controlDb)]
  const names =
    samples[0] === samples[1]
      ? [say('fieldBrief.weakestRoute')]
      : [say('fieldBrief.weakestPictureRoute'), say('fieldBrief.weakestControlRoute')]
  names.forEach((name, i) => {
    const sample = samples[i]
    const at = site.locator.toLatLon({ col: line.cols[sample], row: line.rows[sample] })
    places.push([name, at, line.flownM[sample] - line.groundM[sample]])
  })
  return places
}

function budgetTo(
  { site, plan }: BriefTask,
  title: string,
  at: LatLon,
  aglM: number,
): PlaceBudget | null {
  const { radio, foliage, clearingM, launch, antennaHeightM } = plan
  const from = { ...launch, label: say('common.launchPointInText'), heightM: antennaHeightM }
  const to = { ...at, label: title, heightM: aglM }
  try {
    const path = pathProfile(site.terrain, from, to, radio, { ...site.surface, clearingM })
    if (path.crossesVoid) return null
    return {
      title,
      at,
      aglM,
      amslM: path.to.antennaAmslM,
      distanceM: path.distanceM,
      geometry: geometryOfPath(path, radio.kFactor),
      links: [plan.video, plan.control].map((link) => ({
        link,
        budget: pathBudget(path, link, radio.kFactor, foliage),
      })),
    }
  } catch (error) {
    // Over the launch point itself, or off the terrain, there is no path.
    if (error instanceof PilotError) return null
    throw error
  }
}
