import { basename } from 'node:path'
import type { Flight } from '../../core/energy/flight'
import type { TurnPoint } from '../../core/energy/wayHome'
import { PilotError } from '../../core/errors'
import type { LatLon } from '../../core/geodesy/earth'
import type { Plan } from '../../core/plan/plan'
import { readPlan } from '../../core/plan/planFile'
import { reckon, type Reckoning } from '../../core/plan/reckoning'
import { lengthOf, type Conflict } from '../../core/route/corridor'
import type { Leg } from '../../core/route/routeLine'
import { readSite } from './surface'
import type { TerrainOptions } from './terrain'
import { readText } from './textFile'

export interface RouteOptions extends TerrainOptions {
  readonly plan: string
  /** Path of a surface model. */
  readonly surface?: string
  readonly json: boolean
}

/** The `route` command: returns what it prints. */
export async function routeCommand(options: RouteOptions): Promise<string> {
  const { plan } = readPlan(await readText(options.plan, 'a plan'), basename(options.plan))
  if (plan.route.waypoints.length === 0) {
    throw new PilotError(`The plan "${basename(options.plan)}" has no route; draw one and save it.`)
  }
  const site = await readSite(options, plan)
  const { locator } = site
  const found = reckon(site, plan)
  const { line } = found
  const placeOf = (sample: number) =>
    locator.toLatLon({ col: line.cols[sample], row: line.rows[sample] })
  const all = { ...found, plan, placeOf }
  return options.json ? JSON.stringify(routeJson(all)) : routeText(all)
}

interface Found extends Reckoning {
  readonly plan: Plan
  readonly placeOf: (sample: number) => LatLon
}

function routeJson({ plan, line, conflicts, flyer, flight, turns, placeOf }: Found): object {
  const place = (sample: number) => {
    const { latDeg, lonDeg } = placeOf(sample)
    return { lat: latDeg, lon: lonDeg }
  }
  const turnJson = (turn: TurnPoint | null) =>
    turn && {
      ...place(turn.sample),
      distance_m: turn.distanceM,
      time_s: turn.timeS,
      taken_mah: turn.takenMah,
      is_end_of_route: turn.isEnd,
      home: {
        distance_m: turn.home.distanceM,
        time_s: turn.home.timeS,
        mah: turn.home.mah,
        landed_mah: turn.home.landedMah,
        highest_amsl_m: turn.home.highestM,
      },
    }
  const { limits } = plan
  const { usableMah, budgetMah } = flyer.pack
  return {
    distance_m: line.distanceM[line.distanceM.length - 1],
    legs: line.legs.map((leg, i) => legJson(leg, flight.legs[i])),
    corridor: {
      floor: limits.floorKind,
      ceiling_m: limits.ceilingM,
      clearance_m: limits.clearanceM,
      no_height_m: lengthOf(conflicts, 'no-height'),
      conflicts: conflicts.map((conflict) => ({
        kind: conflict.kind,
        leg: conflict.leg + 1,
        from_m: conflict.fromM,
        to_m: conflict.toM,
        worst_at: place(conflict.worstSample),
        // No height at all has no number.
        worst: Number.isFinite(conflict.worst) ? conflict.worst : null,
      })),
    },
    energy: {
      usable_mah: usableMah,
      budget_mah: budgetMah,
      take_off_mah: flight.takeOffMah,
      landed_mah: flight.landed?.takenMah ?? null,
      landed_time_s: flight.landed?.timeS ?? null,
      ends_above_reserve: flight.landed
        ? flight.landed.takenMah <= budgetMah && flight.sagSample === null
        : null,
      sags_at_m: flight.sagSample === null ? null : line.distanceM[flight.sagSample],
    },
    point_of_no_return: {
      retraced: turnJson(turns.retraced),
      straight: turnJson(turns.straight),
    },
  }
}

function legJson(leg: Leg, flown: Flight['legs'][number]): object {
  const about = {
    from: leg.from.label,
    to: leg.to.label,
    shape: leg.shape,
    distance_m: leg.distanceM,
    track_deg: leg.bearingDeg,
  }
  if (typeof flown === 'string') return { ...about, refusal: flown }
  return {
    ...about,
    airspeed_ms: flown.airspeedMs,
    ground_speed_ms: flown.triangle.groundSpeedMs,
    heading_deg: flown.triangle.headingDeg,
    time_s: flown.timeS,
    climb_m: flown.climbM,
    mah: flown.mah,
    left_share: flown.leftShare,
    volts: flown.volts,
  }
}

const WORDS: Readonly<Record<Conflict['kind'], string>> = {
  'no-height': 'no height between floor and ceiling',
  'under-floor': 'under the link floor',
  'weak-signal': 'less than the wanted margin at this height',
  'no-landing': 'no landing area of the plan in reach',
  'not-known': 'not known for want of terrain data',
  'over-ceiling': 'over the ceiling',
  'too-close': 'too close to ground, obstacle or wire',
}

function routeText({ line, conflicts, flyer, flight, turns }: Found): string {
  const km = (metres: number) => `${(metres / 1000).toFixed(2)} km`
  const minutes = (seconds: number) => {
    const whole = Math.round(seconds)
    return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`
  }
  const legs = line.legs.map((leg, i) => {
    const flown = flight.legs[i]
    const name = `${leg.from.label} to ${leg.to.label}, ${km(leg.distanceM)}`
    if (typeof flown === 'string') return `${name}: ${flown}`
    const left = `${(100 * flown.leftShare).toFixed(0)} % left`
    return `${name}: ${minutes(flown.timeS)} min, ${flown.mah.toFixed(0)} mAh, ${left}, ${flown.volts.toFixed(1)} V`
  })
  const wrong = conflicts.map(
    ({ kind, fromM, toM, worst }) =>
      `${km(fromM)} to ${km(toM)}: ${WORDS[kind]}${kind !== 'not-known' && kind !== 'no-landing' && Number.isFinite(worst) ? ` by ${worst.toFixed(0)} ${kind === 'weak-signal' ? 'dB' : 'm'}` : ''}`,
  )
  const turn = (name: string, found: TurnPoint | null) => {
    if (!found) return `Turn by (${name}): the battery does not bring it home from anywhere.`
    if (found.isEnd) return `Turn by (${name}): home is in reach from the whole route.`
    return `Turn by (${name}): ${km(found.distanceM)}, ${minutes(found.timeS)} min, ${found.takenMah.toFixed(0)} mAh.`
  }
  const budget = `Battery: ${flyer.pack.budgetMah.toFixed(0)} mAh above the reserve`
  const landed = flight.landed
    ? `; landed after ${minutes(flight.landed.timeS)} min with ${flight.landed.takenMah.toFixed(0)} mAh taken.`
    : '.'
  return [
    ...legs,
    budget + landed,
    ...(flight.sagSample === null
      ? []
      : [`The pack sags below its least voltage from ${km(line.distanceM[flight.sagSample])} on.`]),
    turn('the way back', turns.retraced),
    turn('straight home', turns.straight),
    ...(wrong.length > 0 ? ['Conflicts:', ...wrong] : ['No conflicts with floor and ceiling.']),
    'A prediction is no promise: terrain models miss trees, wires and buildings; keep to local law.',
  ].join('\n')
}
