import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import type { RadioSettings } from '../../core/propagation/path'
import { STANDARD_K_FACTOR } from '../../core/geodesy/earth'

export const UTM_58N = {
  name: 'WGS 84 / UTM zone 58N',
  epsg: 32658,
  definition: '+proj=utm +zone=58 +datum=WGS84 +units=m +no_defs',
}

export const VIDEO_LINK: RadioSettings = {
  frequencyMhz: 5800,
  kFactor: STANDARD_K_FACTOR,
  fresnelFraction: 0.6,
}

/**
 * A terrain whose height is a function of metres east and north of its middle cell, with the
 * middle near the zone's central meridian so that map and ground metres differ by 0.04 % only.
 */
export function madeTerrain(
  cells: number,
  cellM: number,
  heightM: (eastM: number, northM: number) => number,
): TerrainGrid {
  const half = (cells - 1) / 2
  const heights = new Float32Array(cells * cells)
  for (let row = 0, i = 0; row < cells; row++) {
    for (let col = 0; col < cells; col++, i++) {
      heights[i] = heightM((col - half) * cellM, (half - row) * cellM)
    }
  }
  return {
    cols: cells,
    rows: cells,
    cellM,
    westM: 500_000 - (cells * cellM) / 2,
    northM: 4_560_000 + (cells * cellM) / 2,
    crs: UTM_58N,
    heights,
    name: 'made terrain',
    origin: { key: 'terrainSet.gridFileCellCell' },
  }
}

/** Position of metres east and north of the middle of a made terrain. */
export function placeOn(terrain: TerrainGrid, eastM: number, northM: number) {
  const half = (terrain.cols - 1) / 2
  return new GridLocator(terrain).toLatLon({
    col: half + eastM / terrain.cellM,
    row: half - northM / terrain.cellM,
  })
}
