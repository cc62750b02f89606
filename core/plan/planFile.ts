import { z } from 'zod'
import { AIRCRAFT_LIMITS, type Aircraft } from '../energy/aircraft'
import { BATTERY_LIMITS, CHEMISTRIES, type Battery } from '../energy/battery'
import { Flyer } from '../energy/flight'
import { WIND_LIMITS, type Wind } from '../energy/wind'
import { firstIssue, PilotError } from '../errors'
import type { LatLon } from '../geodesy/earth'
import { LANDING_RANGES } from '../landing/areas'
import type { LandingSetup } from '../landing/landingArea'
import { WALK_RANGES } from '../landing/walk'
import { checkRadio, type RadioSettings } from '../propagation/path'
import { linkFile, linkOf, linkSchema, type Link } from '../radio/link'
import { FLOOR_KINDS, LIMIT_RANGES, type RouteLimits } from '../route/corridor'
import { HEIGHT_REFERENCES, LEG_SHAPES, ROUTE_LIMITS, type Route } from '../route/route'
import { readObstacles, type Obstacle } from '../surface/obstacle'
import type { Vegetation } from '../surface/surface'

/** What a plan file keeps. */
export interface Plan {
  readonly launch: LatLon
  readonly antennaHeightM: number
  readonly flyingHeightM: number
  readonly radio: RadioSettings
  /** The picture's link from the aircraft and the control link to it. */
  readonly video: Link
  readonly control: Link
  readonly vegetation: Vegetation
  /** Ground distance from the launch point within which no vegetation counts, metres. */
  readonly clearingM: number
  readonly obstacles: readonly Obstacle[]
  readonly route: Route
  readonly limits: RouteLimits
  readonly aircraft: Aircraft
  readonly battery: Battery
  readonly wind: Wind
  /** Airspeed of the route, m/s; null for the one of least charge on each leg. */
  readonly airspeedMs: number | null
  readonly landing: LandingSetup
}

const VERSION = 1

const within = ([least, most]: readonly [number, number]) => z.number().min(least).max(most)
const position = z
  .tuple([z.number().min(-180).max(180), z.number().min(-90).max(90)])
  .rest(z.number())

const launchFeature = z.object({
  type: z.literal('Feature'),
  geometry: z.object({ type: z.literal('Point'), coordinates: position }),
  properties: z.object({
    role: z.literal('launch point'),
    antenna_height_m: z.number().min(0).max(500),
  }),
})

const waypointProperties = z.object({
  name: z.string().default(''),
  height_m: within(ROUTE_LIMITS.heightM),
  height_over: z.enum(HEIGHT_REFERENCES).default('ground'),
  leg: z.enum(LEG_SHAPES).default('terrain'),
  loiter_s: within(ROUTE_LIMITS.loiterS).default(0),
})

const routeFeature = z.object({
  type: z.literal('Feature'),
  geometry: z.object({ type: z.literal('LineString'), coordinates: z.array(position).min(2) }),
  properties: z.object({
    role: z.literal('route'),
    take_off_height_m: within(ROUTE_LIMITS.takeOffHeightM),
    ends_at_launch: z.boolean().default(false),
    home_leg: z.enum(LEG_SHAPES).default('terrain'),
    /** One for every position but the launch point at the start, and at the end of a way home. */
    waypoints: z.array(waypointProperties).min(1),
  }),
})

const polygon = z.object({
  type: z.literal('Polygon'),
  coordinates: z.array(z.array(position).min(4)).min(1),
})
const roadHeadFeature = z.object({
  type: z.literal('Feature'),
  geometry: z.object({ type: z.literal('Point'), coordinates: position }),
})
const keepOutFeature = z.object({ type: z.literal('Feature'), geometry: polygon })
const landingFeature = z.object({
  type: z.literal('Feature'),
  geometry: polygon,
  properties: z.object({
    role: z.literal('landing area'),
    name: z.string().min(1),
    note: z.string().default(''),
    /** Where to put it down. */
    at: position,
    size_m2: z.number().min(0),
    run_m: z.number().min(0),
    run_deg: z.number().min(0).max(360),
    is_home: z.boolean().default(false),
  }),
})

const settings = z.object({
  version: z.literal(VERSION),
  flying_height_m: z.number().min(0).max(9000),
  radio: z.object({
    frequency_mhz: z.number(),
    k_factor: z.number(),
    fresnel_fraction: z.number(),
  }),
  video: linkSchema,
  control: linkSchema,
  vegetation: z.object({ height_m: z.number().min(0), tree_line_m: z.number().nullable() }),
  clearing_m: z.number().min(0),
  limits: z.object({
    ceiling_m: within(LIMIT_RANGES.ceilingM),
    clearance_m: within(LIMIT_RANGES.clearanceM),
    floor: z.enum(FLOOR_KINDS),
  }),
  aircraft: z.object({
    name: z.string(),
    mass_kg: within(AIRCRAFT_LIMITS.massKg),
    hover_current_a: within(AIRCRAFT_LIMITS.currentA),
    measured_at_m: within(AIRCRAFT_LIMITS.measuredAtM),
    cruise: z
      .array(
        z.object({
          airspeed_ms: within(AIRCRAFT_LIMITS.airspeedMs),
          current_a: within(AIRCRAFT_LIMITS.currentA),
        }),
      )
      .min(1),
    climb_efficiency: within(AIRCRAFT_LIMITS.climbEfficiency),
    climb_ms: within(AIRCRAFT_LIMITS.verticalMs),
    descent_ms: within(AIRCRAFT_LIMITS.verticalMs),
  }),
  battery: z.object({
    name: z.string(),
    chemistry: z.enum(CHEMISTRIES),
    cells: within(BATTERY_LIMITS.cells).int(),
    capacity_mah: within(BATTERY_LIMITS.capacityMah),
    usable_share: within(BATTERY_LIMITS.usableShare),
    reserve_share: within(BATTERY_LIMITS.reserveShare),
    temperature_c: within(BATTERY_LIMITS.temperatureC),
    cell_mohm: within(BATTERY_LIMITS.cellMohm),
    least_cell_v: within(BATTERY_LIMITS.leastCellV),
  }),
  wind: z.object({
    speed_ms: within(WIND_LIMITS.speedMs),
    from_deg: z.number().min(0).max(360),
    at_height_m: within(WIND_LIMITS.atHeightM),
    exponent: within(WIND_LIMITS.exponent),
  }),
  airspeed_ms: within(AIRCRAFT_LIMITS.airspeedMs).nullable(),
  landing: z.object({
    steepest_deg: within(LANDING_RANGES.steepestDeg),
    roughest_m: within(LANDING_RANGES.roughestM),
    smallest_m2: within(LANDING_RANGES.smallestM2),
    from_obstacles_m: within(LANDING_RANGES.fromObstaclesM),
    from_edges_m: within(LANDING_RANGES.fromEdgesM),
    walk_off_path_factor: within(WALK_RANGES.offPathFactor),
    walk_steepest_deg: within(WALK_RANGES.steepestDeg),
    has_snow: z.boolean(),
  }),
})

const planSchema = z.object({
  type: z.literal('FeatureCollection'),
  features: z.array(z.looseObject({ properties: z.looseObject({ role: z.string() }) })),
  colsight: settings,
})

/**
 * A plan as GeoJSON (RFC 7946): launch point, route and obstacles as features that any GIS shows,
 * settings in the foreign member `colsight`.
 */
export function writePlan(plan: Plan): string {
  const { launch, route, radio, vegetation, limits, aircraft, battery, wind } = plan
  const at = ({ latDeg, lonDeg }: LatLon) => [lonDeg, latDeg]
  const home = route.endsAtLaunch ? [launch] : []
  const features = [
    {
      type: 'Feature',
      geometry: { type: 'Point', coordinates: at(launch) },
      properties: { role: 'launch point', antenna_height_m: plan.antennaHeightM },
    },
    ...(route.waypoints.length > 0
      ? [
          {
            type: 'Feature',
            geometry: {
              type: 'LineString',
              coordinates: [launch, ...route.waypoints, ...home].map(at),
            },
            properties: {
              role: 'route',
              take_off_height_m: route.takeOffHeightM,
              ends_at_launch: route.endsAtLaunch,
              home_leg: route.homeLeg,
              waypoints: route.waypoints.map((waypoint) => ({
                name: waypoint.name,
                height_m: waypoint.heightM,
                height_over: waypoint.heightOver,
                leg: waypoint.leg,
                loiter_s: waypoint.loiterS,
              })),
            },
          },
        ]
      : []),
    ...plan.obstacles.map(({ geometry, name, kind, heightM }) => ({
      type: 'Feature',
      geometry,
      properties: { role: 'obstacle', name, kind, height_m: heightM },
    })),
    ...landingFeatures(plan.landing),
  ]
  const colsight: z.input<typeof settings> = {
    version: VERSION,
    flying_height_m: plan.flyingHeightM,
    radio: {
      frequency_mhz: radio.frequencyMhz,
      k_factor: radio.kFactor,
      fresnel_fraction: radio.fresnelFraction,
    },
    video: linkFile(plan.video),
    control: linkFile(plan.control),
    vegetation: { height_m: vegetation.heightM, tree_line_m: vegetation.treeLineM },
    clearing_m: plan.clearingM,
    limits: {
      ceiling_m: limits.ceilingM,
      clearance_m: limits.clearanceM,
      floor: limits.floorKind,
    },
    aircraft: {
      name: aircraft.name,
      mass_kg: aircraft.massKg,
      hover_current_a: aircraft.hoverCurrentA,
      measured_at_m: aircraft.measuredAtM,
      cruise: aircraft.cruise.map(({ airspeedMs, currentA }) => ({
        airspeed_ms: airspeedMs,
        current_a: currentA,
      })),
      climb_efficiency: aircraft.climbEfficiency,
      climb_ms: aircraft.climbMs,
      descent_ms: aircraft.descentMs,
    },
    battery: {
      name: battery.name,
      chemistry: battery.chemistry,
      cells: battery.cells,
      capacity_mah: battery.capacityMah,
      usable_share: battery.usableShare,
      reserve_share: battery.reserveShare,
      temperature_c: battery.temperatureC,
      cell_mohm: battery.cellMohm,
      least_cell_v: battery.leastCellV,
    },
    wind: {
      speed_ms: wind.speedMs,
      from_deg: wind.fromDeg,
      at_height_m: wind.atHeightM,
      exponent: wind.exponent,
    },
    airspeed_ms: plan.airspeedMs,
    landing: {
      steepest_deg: plan.landing.limits.steepestDeg,
      roughest_m: plan.landing.limits.roughestM,
      smallest_m2: plan.landing.limits.smallestM2,
      from_obstacles_m: plan.landing.limits.fromObstaclesM,
      from_edges_m: plan.landing.limits.fromEdgesM,
      walk_off_path_factor: plan.landing.walk.offPathFactor,
      walk_steepest_deg: plan.landing.walk.steepestDeg,
      has_snow: plan.landing.hasSnow,
    },
  }
  return `${JSON.stringify({ type: 'FeatureCollection', features, colsight }, null, 2)}\n`
}

function landingFeatures({ roadHead, excluded, accepted }: LandingSetup): object[] {
  const point = (at: LatLon) => ({ type: 'Point', coordinates: [at.lonDeg, at.latDeg] })
  return [
    ...(roadHead
      ? [{ type: 'Feature', geometry: point(roadHead), properties: { role: 'road head' } }]
      : []),
    ...excluded.map((geometry) => ({
      type: 'Feature',
      geometry,
      properties: { role: 'keep out' },
    })),
    ...accepted.map((area) => ({
      type: 'Feature',
      geometry: area.outline,
      properties: {
        role: 'landing area',
        name: area.name,
        note: area.note,
        at: [area.at.lonDeg, area.at.latDeg],
        size_m2: area.sizeM2,
        run_m: area.runM,
        run_deg: area.runDeg,
        is_home: area.isHome,
      },
    })),
  ]
}

/** Reads a plan. Throws a PilotError that names the file and the field. */
export function readPlan(text: string, fileName: string): Plan {
  const { features, colsight } = parse(planSchema, jsonOf(text, fileName), fileName, '')
  const withRole = (role: string) =>
    features.flatMap((feature, i) => (feature.properties.role === role ? [{ feature, i }] : []))
  const [place, ...otherPlaces] = withRole('launch point')
  if (!place || otherPlaces.length > 0) {
    throw new PilotError(
      `"${fileName}" has ${place ? 'several features' : 'no feature'} with the role "launch point"; a plan needs one.`,
    )
  }
  const launchPoint = parse(launchFeature, place.feature, fileName, `features.${place.i}.`)
  const obstacles = withRole('obstacle').map(({ feature }) => feature)
  const { aircraft, battery, wind, radio, limits, vegetation } = colsight
  const plan: Plan = {
    launch: latLon(launchPoint.geometry.coordinates),
    antennaHeightM: launchPoint.properties.antenna_height_m,
    flyingHeightM: colsight.flying_height_m,
    radio: {
      frequencyMhz: radio.frequency_mhz,
      kFactor: radio.k_factor,
      fresnelFraction: radio.fresnel_fraction,
    },
    video: linkOf(colsight.video, fileName),
    control: linkOf(colsight.control, fileName),
    vegetation: { heightM: vegetation.height_m, treeLineM: vegetation.tree_line_m },
    clearingM: colsight.clearing_m,
    obstacles:
      obstacles.length > 0
        ? readObstacles(
            JSON.stringify({ type: 'FeatureCollection', features: obstacles }),
            fileName,
          )
        : [],
    route: readRoute(withRole('route'), fileName),
    limits: {
      ceilingM: limits.ceiling_m,
      clearanceM: limits.clearance_m,
      floorKind: limits.floor,
    },
    aircraft: {
      name: aircraft.name,
      massKg: aircraft.mass_kg,
      hoverCurrentA: aircraft.hover_current_a,
      measuredAtM: aircraft.measured_at_m,
      cruise: aircraft.cruise.map(({ airspeed_ms, current_a }) => ({
        airspeedMs: airspeed_ms,
        currentA: current_a,
      })),
      climbEfficiency: aircraft.climb_efficiency,
      climbMs: aircraft.climb_ms,
      descentMs: aircraft.descent_ms,
    },
    battery: {
      name: battery.name,
      chemistry: battery.chemistry,
      cells: battery.cells,
      capacityMah: battery.capacity_mah,
      usableShare: battery.usable_share,
      reserveShare: battery.reserve_share,
      temperatureC: battery.temperature_c,
      cellMohm: battery.cell_mohm,
      leastCellV: battery.least_cell_v,
    },
    wind: {
      speedMs: wind.speed_ms,
      fromDeg: wind.from_deg,
      atHeightM: wind.at_height_m,
      exponent: wind.exponent,
    },
    airspeedMs: colsight.airspeed_ms,
    landing: readLanding(colsight.landing, withRole, fileName),
  }
  checkPlan(plan, fileName)
  return plan
}

/** Throws a PilotError where values are well formed and yet cannot be together. */
function checkPlan(plan: Plan, fileName: string): void {
  try {
    checkRadio(plan.radio)
    new Flyer(plan)
  } catch (error) {
    if (!(error instanceof PilotError)) throw error
    throw new PilotError(`"${fileName}" is no plan that can be used: ${error.message}`)
  }
}

function readLanding(
  data: z.output<typeof settings>['landing'],
  withRole: (role: string) => readonly { feature: unknown; i: number }[],
  fileName: string,
): LandingSetup {
  const read = <S extends z.ZodType>(schema: S, role: string) =>
    withRole(role).map(({ feature, i }) => parse(schema, feature, fileName, `features.${i}.`))
  const [roadHead] = read(roadHeadFeature, 'road head')
  return {
    limits: {
      steepestDeg: data.steepest_deg,
      roughestM: data.roughest_m,
      smallestM2: data.smallest_m2,
      fromObstaclesM: data.from_obstacles_m,
      fromEdgesM: data.from_edges_m,
    },
    walk: { offPathFactor: data.walk_off_path_factor, steepestDeg: data.walk_steepest_deg },
    roadHead: roadHead ? latLon(roadHead.geometry.coordinates) : null,
    hasSnow: data.has_snow,
    excluded: read(keepOutFeature, 'keep out').map(({ geometry }) => geometry),
    accepted: read(landingFeature, 'landing area').map(({ geometry, properties }) => ({
      name: properties.name,
      note: properties.note,
      at: latLon(properties.at),
      outline: geometry,
      sizeM2: properties.size_m2,
      runM: properties.run_m,
      runDeg: properties.run_deg,
      isHome: properties.is_home,
    })),
  }
}

function readRoute(found: readonly { feature: unknown; i: number }[], fileName: string): Route {
  const [first, ...others] = found
  if (!first) return { waypoints: [], takeOffHeightM: 30, endsAtLaunch: false, homeLeg: 'terrain' }
  if (others.length > 0) {
    throw new PilotError(`"${fileName}" has several routes; keep the feature of one.`)
  }
  const { geometry, properties } = parse(
    routeFeature,
    first.feature,
    fileName,
    `features.${first.i}.`,
  )
  const { waypoints, ends_at_launch: endsAtLaunch } = properties
  const places = geometry.coordinates.slice(1, endsAtLaunch ? -1 : undefined)
  if (places.length !== waypoints.length) {
    throw new PilotError(
      `The route in "${fileName}" has ${places.length} positions after the launch point and ${waypoints.length} waypoints; give each position its waypoint.`,
    )
  }
  return {
    waypoints: waypoints.map((waypoint, i) => ({
      ...latLon(places[i]),
      name: waypoint.name,
      heightM: waypoint.height_m,
      heightOver: waypoint.height_over,
      leg: waypoint.leg,
      loiterS: waypoint.loiter_s,
    })),
    takeOffHeightM: properties.take_off_height_m,
    endsAtLaunch,
    homeLeg: properties.home_leg,
  }
}

function latLon([lonDeg, latDeg]: readonly [number, number, ...number[]]): LatLon {
  return { latDeg, lonDeg }
}

function jsonOf(text: string, fileName: string): unknown {
  try {
    return JSON.parse(text)
  } catch (cause) {
    throw new PilotError(
      `"${fileName}" cannot be read as JSON; save a plan from Colsight to see how such a file looks.`,
      { cause },
    )
  }
}

function parse<S extends z.ZodType>(
  schema: S,
  json: unknown,
  fileName: string,
  where: string,
): z.output<S> {
  const parsed = schema.safeParse(json)
  if (parsed.success) return parsed.data
  const isPlan = typeof json === 'object' && json !== null && 'colsight' in json
  if (where === '' && !isPlan) {
    throw new PilotError(
      `"${fileName}" is JSON but no plan; save a plan from Colsight to see how such a file looks.`,
    )
  }
  const issues = parsed.error.issues.map((issue) => ({
    ...issue,
    path: [...where.split('.').filter(Boolean), ...issue.path],
  }))
  throw new PilotError(`"${fileName}" is no plan that can be used: ${firstIssue({ issues })}.`)
}
