import { prepareSweep } from '../../core/coverage/clearHeights'
import { RadialSweep } from '../../core/coverage/radialSweep'
import type { SweepGround } from '../../core/coverage/fan'
import { bareGround } from '../../core/surface/surface'
import { emptyFields } from '../../core/coverage/sweepThread'
import { GridLocator, type GridPosition, type TerrainGrid } from '../../core/terrain/grid'
import { VIDEO_LINK } from './madeTerrain'

/** The terrain and what stands on it as a sweep wants them. */
export function groundOf(terrain: TerrainGrid, surface = bareGround(terrain)): SweepGround {
  return { ...terrain, ...surface }
}

/** Both fields of a whole terrain from one grid position, with the settings of the sweep. */
export function sweepAll(
  terrain: TerrainGrid,
  position: GridPosition,
  antennaHeightM = 2,
  radio = VIDEO_LINK,
  surface = bareGround(terrain),
  clearingM = 0,
) {
  const launch = new GridLocator(terrain).toLatLon(position)
  const { sweep: settings } = prepareSweep(terrain, {
    launch,
    antennaHeightM,
    radio,
    radiusM: null,
    sector: null,
    clearingM,
  })
  const fields = emptyFields(terrain.heights.length)
  const radial = new RadialSweep(groundOf(terrain, surface), settings, fields)
  radial.run(0, radial.rayCount)
  return { settings, ...fields }
}
