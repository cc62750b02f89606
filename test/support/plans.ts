import { USUAL_BRIEF } from '../../core/brief/briefSetup'
import { TYPICAL_AIRCRAFT } from '../../core/energy/aircraft'
import { TYPICAL_BATTERY } from '../../core/energy/battery'
import { CALM } from '../../core/energy/wind'
import { NO_LANDING } from '../../core/landing/landingArea'
import type { Plan } from '../../core/plan/plan'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { USUAL_LIMITS } from '../../core/route/corridor'
import { NO_ROUTE, waypointAt } from '../../core/route/route'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { VIDEO_LINK } from './madeTerrain'

/** A small plan around the middle of a terrain of 200 cells a side: there, a second place, and home. */
export function planOn(terrain: TerrainGrid): Plan {
  const locator = new GridLocator(terrain)
  const at = (col: number, row: number) => locator.toLatLon({ col, row })
  const corner = ([col, row]: readonly [number, number]) => {
    const { latDeg, lonDeg } = at(col, row)
    return [lonDeg, latDeg]
  }
  return {
    launch: at(100, 100),
    antennaHeightM: 2,
    flyingHeightM: 60,
    radio: VIDEO_LINK,
    radiusM: null,
    sector: null,
    errorM: null,
    video: VIDEO_PRESETS[1],
    control: CONTROL_PRESETS[0],
    foliage: 'solid',
    nearby: { separationM: 1, harmonicSuppressionDb: 50, channelWidthMhz: 20 },
    vegetation: { heightM: 0, treeLineM: null },
    clearingM: 60,
    obstacles: [],
    route: {
      ...NO_ROUTE,
      waypoints: [
        waypointAt(at(140, 90), 80),
        { ...waypointAt(at(150, 120), 1500), heightOver: 'sea', name: 'Far' },
      ],
      endsAtLaunch: true,
    },
    limits: USUAL_LIMITS,
    aircraft: TYPICAL_AIRCRAFT,
    battery: TYPICAL_BATTERY,
    wind: CALM,
    airspeedMs: null,
    brief: { ...USUAL_BRIEF, title: 'Ridge' },
    places: [{ kind: 'col', name: 'Low gap', ...at(130, 95) }],
    landing: {
      ...NO_LANDING,
      accepted: [
        {
          name: 'Meadow',
          note: 'flat',
          at: at(120, 100),
          outline: {
            type: 'Polygon',
            coordinates: [([[118, 98], [122, 98], [122, 102], [118, 98]] as const).map(corner)], // prettier-ignore
          },
          sizeM2: 5000,
          runM: 90,
          runDeg: 45,
          isHome: true,
        },
      ],
    },
  }
}

/** A plan on the demo massif that is flown within sight, with a look behind a ridge. */
export function flownPlan(terrain: TerrainGrid): Plan {
  const locator = new GridLocator(terrain)
  const at = (col: number, row: number) => locator.toLatLon({ col, row })
  const base = planOn(terrain)
  return {
    ...base,
    launch: at(560, 466),
    battery: { ...base.battery, capacityMah: 12_000 },
    route: {
      ...base.route,
      waypoints: [waypointAt(at(565, 445), 90), waypointAt(at(545, 447), 90), waypointAt(at(534, 470), 100), waypointAt(at(562, 420), 80)], // prettier-ignore
      endsAtLaunch: true,
    },
    landing: { ...base.landing, accepted: [] },
  }
}
