import type { BriefSetup } from '../brief/briefSetup'
import type { Sector } from '../coverage/clearHeights'
import type { Aircraft } from '../energy/aircraft'
import type { Battery } from '../energy/battery'
import type { Wind } from '../energy/wind'
import type { LatLon } from '../geodesy/earth'
import type { LandingSetup } from '../landing/landingArea'
import type { RadioSettings } from '../propagation/path'
import type { Link } from '../radio/link'
import type { Foliage } from '../radio/pathBudget'
import type { RouteLimits } from '../route/corridor'
import type { Route } from '../route/route'
import type { Obstacle } from '../surface/obstacle'
import type { Vegetation } from '../surface/surface'
import type { FileIdentity } from '../terrain/fingerprint'
import type { SiteWish } from '../terrain/siteFrame'
import type { Assumptions } from '../terrain/terrainFile'
import type { KeptPlace } from './keptPlace'
import type { Unknown } from './unknown'

/** What the pilot plans: all that a plan file keeps but the terrain. */
export interface Plan {
  readonly launch: LatLon
  readonly antennaHeightM: number
  readonly flyingHeightM: number
  readonly radio: RadioSettings
  /** Farthest ground distance looked at, metres; null for the whole terrain. */
  readonly radiusM: number | null
  /** Part of the horizon the ground antenna covers; null for all around. */
  readonly sector: Sector | null
  /** Vertical error of the terrain, metres; null for the usual one of its kind. */
  readonly errorM: number | null
  /** The picture's link from the aircraft and the control link to it. */
  readonly video: Link
  readonly control: Link
  /** How budgets take vegetation; the map takes it as solid. */
  readonly foliage: Foliage
  /** The control transmitter beside the video receiver. */
  readonly nearby: Nearby
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
  readonly brief: BriefSetup
  /** Cols and other places to stand that the pilot wants to find again. */
  readonly places: readonly KeptPlace[]
  /** What its file says beyond all this. */
  readonly unknown?: PlanUnknown
}

export interface Nearby {
  readonly separationM: number
  readonly harmonicSuppressionDb: number
  readonly channelWidthMhz: number
}

/** Members of a plan's file that this program does not know, where they belong. */
export interface PlanUnknown {
  readonly file?: Unknown
  readonly launch?: Unknown
  readonly route?: Unknown
  readonly roadHead?: Unknown
  /** One an area kept out of, in their order. */
  readonly keepOut?: readonly (Unknown | undefined)[]
  /** Whole features of other roles, or of none. */
  readonly features?: readonly Unknown[]
}

/** The terrain a plan was made on: enough to know it again. */
export interface TerrainReference extends SiteWish {
  readonly files: readonly FileIdentity[]
  readonly assume: Assumptions
  readonly fillUpToCells: number
}

/** A plan with the terrain it was made on, where that is known. */
export interface PlanDocument {
  readonly plan: Plan
  readonly terrain: TerrainReference | null
}

/** True where both name the same files, in whatever order. */
export function isSameTerrain(a: readonly FileIdentity[], b: readonly FileIdentity[]): boolean {
  const keys = (files: readonly FileIdentity[]) =>
    files.map(({ sizeBytes, fingerprint }) => `${sizeBytes} ${fingerprint}`).sort()
  const [mine, theirs] = [keys(a), keys(b)]
  return mine.length === theirs.length && mine.every((key, i) => key === theirs[i])
}
