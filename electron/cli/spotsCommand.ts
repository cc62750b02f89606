import { basename } from 'node:path'
import type { LatLon } from '../../core/geodesy/earth'
import { levelGround } from '../../core/landing/flatGround'
import { groundShape } from '../../core/landing/slope'
import { checkStart, unwalkable, walkFrom } from '../../core/landing/walk'
import { judgeSpot } from '../../core/launch/exactSpot'
import { LaunchHeat, type HeatSums } from '../../core/launch/heat'
import { bestPair, bestSpots, findCandidates, type StandLimits } from '../../core/launch/spots'
import { checkTargets, MOST_TARGETS, targetsOfRoute } from '../../core/launch/targets'
import { readPlan } from '../../core/plan/planFile'
import { routeLine } from '../../core/route/routeLine'
import { standOnGrid } from '../../core/surface/obstacle'
import { buildSurface } from '../../core/surface/surface'
import { cellIndex, GridLocator } from '../../core/terrain/grid'
import { readTerrain, type TerrainOptions } from './terrain'
import { readText } from './textFile'

export interface SpotsOptions extends TerrainOptions {
  /** Its route is what should be in the picture. */
  readonly plan: string
  readonly limits: StandLimits
  readonly score: keyof HeatSums
  /** Where walking begins; the plan's road head or launch point if not given. */
  readonly roadHead?: LatLon
  readonly count: number
  readonly spacingM: number
  readonly json: boolean
}

/** So many of the search are looked at exactly: it takes the antenna as aimed anew at each target. */
const MOST_JUDGED = 36

/** The `launch-spots` command: returns what it prints. */
export async function spotsCommand(options: SpotsOptions): Promise<string> {
  const { plan } = readPlan(await readText(options.plan, 'a plan'), basename(options.plan))
  const terrain = await readTerrain(options)
  const { heights, cols, rows } = terrain
  const locator = new GridLocator(terrain)
  const cellM = locator.groundCellM({ col: cols / 2, row: rows / 2 })
  const standing = plan.obstacles.map((obstacle) => standOnGrid(obstacle, locator))
  const surface = buildSurface(terrain, plan.vegetation, null, standing)
  const line =
    plan.route.waypoints.length > 0
      ? routeLine(terrain, locator, surface, plan.launch, plan.route)
      : null
  const targets = line ? targetsOfRoute(line, 1, MOST_TARGETS) : []
  checkTargets(targets)

  const level = levelGround(heights, cols, cellM)
  const { slopeDeg } = groundShape(heights, cols, rows, cellM)
  const from = options.roadHead ?? plan.landing.roadHead ?? plan.launch
  const start = cellIndex(terrain, locator.toGrid(from))
  checkStart(start, from === plan.launch ? 'launch point' : 'road head', heights, level)
  const out = unwalkable(level, slopeDeg, plan.landing.walk)
  const walk = walkFrom(heights, cols, rows, start, out, cellM, plan.landing.walk)
  const { limits, score } = options
  const candidates = findCandidates(heights, cols, slopeDeg, level, null, walk.timeS, limits)

  const { antennaHeightM, radio, video, clearingM } = plan
  const { kFactor, fresnelFraction } = radio
  const ground = { ...terrain, bare: surface.bare, covered: surface.bare }
  const settings = { antennaHeightM, kFactor, fresnelFraction, link: video, groundCellM: cellM }
  const heat = new LaunchHeat(ground, candidates.window, settings)
  for (const target of targets) heat.add(target)

  const spacing = options.spacingM / cellM
  const looked = Math.max(MOST_JUDGED, options.count)
  const found = bestSpots(heat.sums[score], candidates, walk.timeS, cols, 1, spacing, looked)
  const { ceilingM } = plan.limits
  const task = { antennaHeightM, radio, link: video, clearingM, ceilingM }
  const seen = { ...surface, clearingM }
  const spots = found
    .map(({ cell, share }) => {
      const at = locator.toLatLon({ col: cell % cols, row: Math.floor(cell / cols) })
      const exact = judgeSpot(terrain, locator, seen, at, task, targets)
      return { ...exact, searched: share, slopeDeg: slopeDeg[cell], walkS: walk.timeS[cell] }
    })
    .sort((a, b) => b[score] - a[score] || (b.worstDb || 0) - (a.worstDb || 0))
    .slice(0, options.count)
  const pair = bestPair(
    spots.map(({ hits }) => hits[score]),
    targets.map(({ weight }) => weight),
  )
  const answer = {
    targets: targets.length,
    candidates: candidates.count,
    judged_by: score,
    spots: spots.map((spot) => ({
      lat: spot.at.latDeg,
      lon: spot.at.lonDeg,
      ground_m: spot.groundM,
      slope_deg: spot.slopeDeg,
      share_searched: spot.searched,
      share_in_sight: spot.sight,
      share_fresnel_clear: spot.fresnel,
      share_with_margin: spot.margin,
      share_with_open_corridor: spot.open,
      worst_margin_db: Number.isNaN(spot.worstDb) ? null : spot.worstDb,
      aims: spot.aims.map(({ azimuthDeg, tiltDeg }) => ({
        azimuth_deg: azimuthDeg,
        tilt_deg: tiltDeg,
      })),
      walk_s: Number.isFinite(spot.walkS) ? spot.walkS : null,
      sky_view: spot.skyView,
    })),
    best_pair: pair && { first: pair.first + 1, second: pair.second + 1, share: pair.share },
  }
  if (options.json) return JSON.stringify(answer)
  const percent = (share: number) => `${(100 * share).toFixed(1)} %`
  return [
    ...answer.spots.map(
      (spot, i) =>
        `${i + 1}. ${spot.lat.toFixed(5)}, ${spot.lon.toFixed(5)}: margin ${percent(spot.share_with_margin)}, Fresnel ${percent(spot.share_fresnel_clear)}, sight ${percent(spot.share_in_sight)} of the route, ${spot.walk_s === null ? 'no way on foot' : `${Math.ceil(spot.walk_s / 60)} min on foot`}`,
    ),
    ...(pair
      ? [`Spots ${pair.first + 1} and ${pair.second + 1} together have ${percent(pair.share)}.`]
      : []),
    'A prediction is no promise: terrain models miss trees, wires and buildings.',
  ].join('\n')
}
