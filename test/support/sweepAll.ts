import { prepareSweep } from '../../core/coverage/clearHeights'
import { RadialSweep } from '../../core/coverage/radialSweep'
import { emptyFields } from '../../core/coverage/sweepThread'
import { GridLocator, type GridPosition, type TerrainGrid } from '../../core/terrain/grid'
import { VIDEO_LINK } from './madeTerrain'

/** Both fields of a whole terrain from one grid position, with the settings of the sweep. */
export function sweepAll(
  terrain: TerrainGrid,
  position: GridPosition,
  antennaHeightM = 2,
  radio = VIDEO_LINK,
) {
  const launch = new GridLocator(terrain).toLatLon(position)
  const { sweep: settings } = prepareSweep(terrain, {
    launch,
    antennaHeightM,
    radio,
    radiusM: null,
    sector: null,
  })
  const fields = emptyFields(terrain.heights.length)
  const radial = new RadialSweep(terrain, settings, fields.sightM, fields.fresnelM)
  radial.run(0, radial.rayCount)
  return { settings, ...fields }
}
