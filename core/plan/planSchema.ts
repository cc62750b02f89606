import { z } from 'zod'
import { BRIEF_LIMITS } from '../brief/briefSetup'
import { AIRCRAFT_LIMITS } from '../energy/aircraft'
import { aircraftSchema } from '../energy/aircraftFile'
import { BATTERY_LIMITS, CHEMISTRIES } from '../energy/battery'
import { WIND_LIMITS } from '../energy/wind'
import { LANDING_RANGES } from '../landing/areas'
import { WALK_RANGES } from '../landing/walk'
import { linkSchema } from '../radio/link'
import { FLOOR_KINDS, LIMIT_RANGES } from '../route/corridor'
import { HEIGHT_REFERENCES, LEG_SHAPES, ROUTE_LIMITS } from '../route/route'

export const VERSION = 3

const within = ([least, most]: readonly [number, number]) => z.number().min(least).max(most)
const position = z
  .tuple([z.number().min(-180).max(180), z.number().min(-90).max(90)])
  .rest(z.number())

export const launchFeature = z.object({
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

export const routeFeature = z.object({
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
export const roadHeadFeature = z.object({
  type: z.literal('Feature'),
  geometry: z.object({ type: z.literal('Point'), coordinates: position }),
})
export const keepOutFeature = z.object({ type: z.literal('Feature'), geometry: polygon })
export const landingFeature = z.object({
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

export const terrainSchema = z.object({
  files: z.array(
    z.object({
      name: z.string(),
      size_bytes: z.number().int().min(0),
      fingerprint: z.string(),
    }),
  ),
  window: z
    .object({
      lat: z.number().min(-90).max(90),
      lon: z.number().min(-180).max(180),
      east_west_m: z.number().positive(),
      north_south_m: z.number().positive(),
    })
    .nullable(),
  cell_m: z.number().positive().nullable(),
  fill_up_to_cells: z.number().int().min(0),
  epsg: z.number().int().nullable(),
  height_unit_m: z.number().positive().nullable(),
  missing: z.array(z.number()),
})

export const settings = z.object({
  version: z.literal(VERSION),
  terrain: terrainSchema.nullable(),
  radius_m: z.number().positive().nullable(),
  sector: z
    .object({
      azimuth_deg: z.number().min(0).max(360),
      width_deg: z.number().min(1).max(360),
    })
    .nullable(),
  model_error_m: z.number().min(0).max(100).nullable(),
  foliage: z.enum(['solid', 'lossy']),
  /** How a route begins and comes home, also while there is none. */
  route: z.object({
    take_off_height_m: within(ROUTE_LIMITS.takeOffHeightM),
    home_leg: z.enum(LEG_SHAPES),
  }),
  nearby: z.object({
    separation_m: z.number().positive(),
    harmonic_suppression_db: z.number().min(0),
    channel_width_mhz: z.number().positive(),
  }),
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
  aircraft: aircraftSchema,
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
  brief: z.object({
    title: z.string().max(BRIEF_LIMITS.titleLength),
    checklist: z.array(z.string().min(1).max(BRIEF_LIMITS.itemLength)).max(BRIEF_LIMITS.items),
    notes: z.string().max(BRIEF_LIMITS.notesLength),
  }),
})

export const planSchema = z.object({
  type: z.literal('FeatureCollection'),
  features: z.array(z.looseObject({ properties: z.looseObject({}).nullable().optional() })),
  colsight: settings,
})
