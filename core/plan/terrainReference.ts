import type { z } from 'zod'
import type { TerrainReference } from './plan'
import type { terrainSchema } from './planSchema'

/** The terrain of a plan as its file refers to it. */
export function terrainReferenceFile(terrain: TerrainReference): z.input<typeof terrainSchema> {
  const { files, window, cellM, fillUpToCells, assume } = terrain
  return {
    files: files.map(({ name, sizeBytes, fingerprint }) => ({
      name,
      size_bytes: sizeBytes,
      fingerprint,
    })),
    window: window
      ? {
          lat: window.centre.latDeg,
          lon: window.centre.lonDeg,
          east_west_m: window.eastWestM,
          north_south_m: window.northSouthM,
        }
      : null,
    cell_m: cellM ?? null,
    fill_up_to_cells: fillUpToCells,
    epsg: assume.epsg ?? null,
    height_unit_m: assume.heightUnitM ?? null,
    missing: [...(assume.missing ?? [])],
  }
}

/** The terrain that a plan's file refers to. */
export function terrainReferenceOf(file: z.output<typeof terrainSchema>): TerrainReference {
  const { window, cell_m, fill_up_to_cells, epsg, height_unit_m, missing } = file
  return {
    files: file.files.map(({ name, size_bytes, fingerprint }) => ({
      name,
      sizeBytes: size_bytes,
      fingerprint,
    })),
    window: window
      ? {
          centre: { latDeg: window.lat, lonDeg: window.lon },
          eastWestM: window.east_west_m,
          northSouthM: window.north_south_m,
        }
      : undefined,
    cellM: cell_m ?? undefined,
    fillUpToCells: fill_up_to_cells,
    assume: { epsg: epsg ?? undefined, heightUnitM: height_unit_m ?? undefined, missing },
  }
}
