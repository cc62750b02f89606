import type { Polygon } from 'geojson'
import { z } from 'zod'
import { aircraftFile, aircraftOf } from '../energy/aircraftFile'
import { Flyer } from '../energy/flight'
import { firstIssue, PilotError } from '../errors'
import type { LatLon } from '../geodesy/earth'
import type { LandingArea, LandingSetup } from '../landing/landingArea'
import { checkRadio } from '../propagation/path'
import { linkFile, linkOf } from '../radio/link'
import { type Route, type Waypoint } from '../route/route'
import { readObstacles, type Obstacle } from '../surface/obstacle'
import { KEPT_KINDS, keptPlaceFeature, keptPlaceFile, keptPlaceOf } from './keptPlace'
import { migrate } from './migrate'
import {
  VERSION,
  launchFeature,
  routeFeature,
  roadHeadFeature,
  keepOutFeature,
  landingFeature,
  settings,
  planSchema,
} from './planSchema'
import type { Plan, PlanDocument, PlanUnknown, TerrainReference } from './plan'
import { terrainReferenceFile, terrainReferenceOf } from './terrainReference'
import { say } from '../words/say'
import { unknownIn, withUnknown, type Unknown } from './unknown'

/**
 * A plan as GeoJSON (RFC 7946): launch point, route, landing areas and obstacles as features that
 * any GIS shows, settings in the foreign member `colsight`. What the file it came from said beyond
 * that is written again.
 */
export function writePlan({ plan, terrain }: PlanDocument): string {
  const { unknown = {} } = plan
  const features = [...featuresOf(plan), ...(unknown.features ?? [])]
  const known = { type: 'FeatureCollection', features, colsight: settingsOf(plan, terrain) }
  return `${JSON.stringify(withUnknown(known, unknown.file), null, 2)}\n`
}

function featuresOf({
  launch,
  antennaHeightM,
  route,
  obstacles,
  landing,
  places,
  unknown,
}: Plan): object[] {
  const point: object = {
    type: 'Feature',
    geometry: { type: 'Point', coordinates: at(launch) },
    properties: { role: 'launch point', antenna_height_m: antennaHeightM },
  }
  const home = route.endsAtLaunch ? [launch] : []
  const line: object = {
    type: 'Feature',
    geometry: { type: 'LineString', coordinates: [launch, ...route.waypoints, ...home].map(at) },
    properties: {
      role: 'route',
      take_off_height_m: route.takeOffHeightM,
      ends_at_launch: route.endsAtLaunch,
      home_leg: route.homeLeg,
      waypoints: route.waypoints.map((waypoint) =>
        withUnknown(waypointFile(waypoint), waypoint.unknown),
      ),
    },
  }
  return [
    withUnknown(point, unknown?.launch),
    ...(route.waypoints.length > 0 ? [withUnknown(line, unknown?.route)] : []),
    ...obstacles.map((obstacle) => withUnknown(obstacleFile(obstacle), obstacle.unknown)),
    ...landingFeatures(landing, unknown),
    ...places.map((place) => withUnknown(keptPlaceFile(place), place.unknown)),
  ]
}

const at = ({ latDeg, lonDeg }: LatLon) => [lonDeg, latDeg]

function waypointFile(waypoint: Waypoint): object {
  return {
    name: waypoint.name,
    height_m: waypoint.heightM,
    height_over: waypoint.heightOver,
    leg: waypoint.leg,
    loiter_s: waypoint.loiterS,
  }
}

function obstacleFile({ geometry, name, kind, heightM }: Obstacle): object {
  return {
    type: 'Feature',
    geometry,
    properties: { role: 'obstacle', name, kind, height_m: heightM },
  }
}

function settingsOf(plan: Plan, terrain: TerrainReference | null): z.input<typeof settings> {
  const { radio, vegetation, limits, aircraft, battery, wind, sector, nearby } = plan
  return {
    version: VERSION,
    terrain: terrain && terrainReferenceFile(terrain),
    radius_m: plan.radiusM,
    sector: sector && { azimuth_deg: sector.azimuthDeg, width_deg: sector.widthDeg },
    model_error_m: plan.errorM,
    foliage: plan.foliage,
    route: { take_off_height_m: plan.route.takeOffHeightM, home_leg: plan.route.homeLeg },
    nearby: {
      separation_m: nearby.separationM,
      harmonic_suppression_db: nearby.harmonicSuppressionDb,
      channel_width_mhz: nearby.channelWidthMhz,
    },
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
    aircraft: aircraftFile(aircraft),
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
    brief: {
      title: plan.brief.title,
      checklist: [...plan.brief.checklist],
      notes: plan.brief.notes,
    },
  }
}

function landingFeatures(
  { roadHead, excluded, accepted }: LandingSetup,
  unknown: PlanUnknown | undefined,
): object[] {
  // Once one of them was drawn or removed nobody knows any more which is which.
  const keepOut = unknown?.keepOut?.length === excluded.length ? unknown.keepOut : []
  return [
    ...(roadHead ? [withUnknown(roadHeadFile(roadHead), unknown?.roadHead)] : []),
    ...excluded.map((geometry, i) => withUnknown(keepOutFile(geometry), keepOut[i])),
    ...accepted.map((area) => withUnknown(areaFile(area), area.unknown)),
  ]
}

function roadHeadFile(place: LatLon): object {
  return {
    type: 'Feature',
    geometry: { type: 'Point', coordinates: at(place) },
    properties: { role: 'road head' },
  }
}

function keepOutFile(geometry: Polygon): object {
  return { type: 'Feature', geometry, properties: { role: 'keep out' } }
}

function areaFile(area: LandingArea): object {
  return {
    type: 'Feature',
    geometry: area.outline,
    properties: {
      role: 'landing area',
      name: area.name,
      note: area.note,
      at: at(area.at),
      size_m2: area.sizeM2,
      run_m: area.runM,
      run_deg: area.runDeg,
      is_home: area.isHome,
    },
  }
}

/** Reads a plan, of older versions too. Throws a PilotError that names the file and the field. */
export function readPlan(text: string, fileName: string): PlanDocument {
  const json = migrate(jsonOf(text, fileName), VERSION, fileName)
  const { features, colsight } = parse(planSchema, json, fileName, '')
  const withRole: WithRole = (role) =>
    features.flatMap((feature, i) => (feature.properties?.role === role ? [{ feature, i }] : []))
  const [place, ...otherPlaces] = withRole('launch point')
  if (!place || otherPlaces.length > 0) {
    throw new PilotError(
      say('planFile.hasRoleLaunchPoint', { fileName, found: place ? 'several' : 'none' }),
    )
  }
  const launchPoint = parse(launchFeature, place.feature, fileName, `features.${place.i}.`)
  const obstacles = withRole('obstacle').map(({ feature }) => feature)
  const { sector, nearby } = colsight
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
    radiusM: colsight.radius_m,
    sector: sector && { azimuthDeg: sector.azimuth_deg, widthDeg: sector.width_deg },
    errorM: colsight.model_error_m,
    foliage: colsight.foliage,
    nearby: {
      separationM: nearby.separation_m,
      harmonicSuppressionDb: nearby.harmonic_suppression_db,
      channelWidthMhz: nearby.channel_width_mhz,
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
          ).map((obstacle, i) => keeping(obstacle, obstacles[i], obstacleFile(obstacle)))
        : [],
    route: readRoute(withRole('route'), colsight.route, fileName),
    limits: {
      ceilingM: limits.ceiling_m,
      clearanceM: limits.clearance_m,
      floorKind: limits.floor,
    },
    aircraft: aircraftOf(aircraft),
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
    brief: colsight.brief,
    airspeedMs: colsight.airspeed_ms,
    landing: readLanding(colsight.landing, withRole, fileName),
    places: KEPT_KINDS.flatMap((kind) => withRole(kind))
      .sort((a, b) => a.i - b.i)
      .map(({ feature, i }) => {
        const found = parse(keptPlaceFeature, feature, fileName, `features.${i}.`)
        const kept = keptPlaceOf(found)
        return keeping(kept, feature, keptPlaceFile(kept))
      }),
  }
  checkPlan(plan, fileName)
  const terrain = colsight.terrain && terrainReferenceOf(colsight.terrain)
  const unknown = unknownOf(json, features, plan, terrain)
  return { plan: unknown ? { ...plan, unknown } : plan, terrain }
}

type WithRole = (role: string) => readonly { feature: Unknown; i: number }[]

const ROLES: readonly string[] = [
  ...['launch point', 'route', 'obstacle', 'road head', 'keep out', 'landing area'],
  ...KEPT_KINDS,
]

/** A part of a plan with what its file said beyond it. */
function keeping<T extends object>(part: T, original: unknown, written: object): T {
  const unknown = unknownIn(original, written)
  return unknown ? { ...part, unknown } : part
}

/** What a plan's file says beyond what would be written of it; undefined where that is nothing. */
function unknownOf(
  json: unknown,
  features: readonly Unknown[],
  plan: Plan,
  terrain: TerrainReference | null,
): PlanUnknown | undefined {
  const roleOf = (feature: unknown) =>
    (feature as { properties?: { role?: unknown } | null }).properties?.role
  const written = featuresOf(plan)
  const beyond = (role: string) => {
    const [originals, ours] = [features, written].map((all) =>
      all.filter((feature) => roleOf(feature) === role),
    )
    return originals.map((original, i) => unknownIn(original, ours[i]))
  }
  const keepOut = beyond('keep out')
  const unknown: PlanUnknown = {
    file: unknownIn(json, { type: '', features: [], colsight: settingsOf(plan, terrain) }),
    launch: beyond('launch point')[0],
    route: beyond('route')[0],
    roadHead: beyond('road head')[0],
    keepOut: keepOut.some(Boolean) ? keepOut : undefined,
    features: features.filter((feature) => !ROLES.includes(String(roleOf(feature)))),
  }
  const { features: others = [], ...members } = unknown
  return others.length > 0 || Object.values(members).some(Boolean) ? unknown : undefined
}

/** Throws a PilotError where values are well formed and yet cannot be together. */
function checkPlan(plan: Plan, fileName: string): void {
  try {
    checkRadio(plan.radio)
    new Flyer(plan)
  } catch (error) {
    if (!(error instanceof PilotError)) throw error
    throw new PilotError(say('planFile.noPlanCanUsed', { fileName, message: error.message }))
  }
}

function readLanding(
  data: z.output<typeof settings>['landing'],
  withRole: WithRole,
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
    accepted: read(landingFeature, 'landing area').map(({ geometry, properties }, i) => {
      const area: LandingArea = {
        name: properties.name,
        note: properties.note,
        at: latLon(properties.at),
        outline: geometry,
        sizeM2: properties.size_m2,
        runM: properties.run_m,
        runDeg: properties.run_deg,
        isHome: properties.is_home,
      }
      return keeping(area, withRole('landing area')[i].feature, areaFile(area))
    }),
  }
}

function readRoute(
  found: ReturnType<WithRole>,
  usual: z.output<typeof settings>['route'],
  fileName: string,
): Route {
  const [first, ...others] = found
  if (!first) {
    const { take_off_height_m: takeOffHeightM, home_leg: homeLeg } = usual
    return { waypoints: [], takeOffHeightM, endsAtLaunch: false, homeLeg }
  }
  if (others.length > 0) {
    throw new PilotError(say('planFile.hasSeveralRoutesKeep', { fileName }))
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
      say('planFile.routeHasPositionsAfter', {
        fileName,
        places: places.length,
        waypoints: waypoints.length,
      }),
    )
  }
  return {
    waypoints: waypoints.map((file, i) => {
      const waypoint: Waypoint = {
        ...latLon(places[i]),
        name: file.name,
        heightM: file.height_m,
        heightOver: file.height_over,
        leg: file.leg,
        loiterS: file.loiter_s,
      }
      const original = (first.feature.properties as { waypoints: unknown[] }).waypoints[i]
      return keeping(waypoint, original, waypointFile(waypoint))
    }),
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
    return JSON.parse(text.replace(/^\uFEFF/, ''))
  } catch (cause) {
    throw new PilotError(say('planFile.cannotReadJsonSave', { fileName }), { cause })
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
    throw new PilotError(say('planFile.jsonButNoPlan', { fileName }))
  }
  const issues = parsed.error.issues.map((issue) => ({
    ...issue,
    path: [...where.split('.').filter(Boolean), ...issue.path],
  }))
  throw new PilotError(
    say('planFile.noPlanField', { fileName, firstIssue: firstIssue({ issues }) }),
  )
}
