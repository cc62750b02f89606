import { USUAL_BRIEF } from '../../core/brief/briefSetup'
import { TYPICAL_AIRCRAFT } from '../../core/energy/aircraft'
import { TYPICAL_BATTERY } from '../../core/energy/battery'
import { CALM } from '../../core/energy/wind'
import type { LatLon } from '../../core/geodesy/earth'
import { NO_LANDING } from '../../core/landing/landingArea'
import type { Plan } from '../../core/plan/plan'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { USUAL_LIMITS } from '../../core/route/corridor'
import { NO_ROUTE, waypointAt } from '../../core/route/route'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { VIDEO_LINK } from './madeTerrain'

/** A plan with a route of so many waypoints on a ring around a launch point, some 60 km long. */
export function longPlan(terrain: TerrainGrid, launch: LatLon, waypoints = 200): Plan {
  const locator = new GridLocator(terrain)
  const { col, row } = locator.toGrid(launch)
  const radius = 9000 / terrain.cellM
  const route = {
    ...NO_ROUTE,
    waypoints: Array.from({ length: waypoints }, (_, i) => {
      const [angle, out] = [(i / waypoints) * 2 * Math.PI, radius * (1 + 0.02 * Math.sin(i))]
      const at = { col: col + out * Math.cos(angle), row: row + out * Math.sin(angle) }
      return waypointAt(locator.toLatLon(at), 80)
    }),
  }
  return {
    launch,
    antennaHeightM: 2,
    flyingHeightM: 60,
    radio: VIDEO_LINK,
    radiusM: null,
    sector: null,
    errorM: null,
    foliage: 'solid',
    nearby: { separationM: 1, harmonicSuppressionDb: 50, channelWidthMhz: 20 },
    video: VIDEO_PRESETS[1],
    control: CONTROL_PRESETS[0],
    vegetation: { heightM: 0, treeLineM: null },
    clearingM: 60,
    obstacles: [],
    route,
    limits: USUAL_LIMITS,
    aircraft: TYPICAL_AIRCRAFT,
    battery: { ...TYPICAL_BATTERY, capacityMah: 30_000 },
    wind: { ...CALM, speedMs: 4, fromDeg: 250 },
    airspeedMs: null,
    landing: NO_LANDING,
    brief: USUAL_BRIEF,
    places: [],
  }
}
