import type { Sidecars, TerrainSource } from '../../core/terrain/source'

/** What the page's picker offers: rasters, and the texts that say where a bare one lies. */
export const TERRAIN_ENDINGS = '.tif,.tiff,.gtiff,.tfw,.tifw,.wld,.prj,image/tiff'

const WORLD_FILE = /\.(tfw|tifw|wld)$/i
const PROJECTION = /\.prj$/i
const RASTER = /\.g?tiff?$/i
/** A text longer than this is none of a terrain's own. */
const MAX_TEXT_BYTES = 64 * 1024

/**
 * Files picked or dropped together as terrain: each raster with the texts of the same name. Where
 * there are rasters, whatever else was picked with them is left aside.
 * @param known terrain that they join; a text may belong to one of those
 */
export async function terrainAmong(
  files: readonly File[],
  known: readonly TerrainSource[] = [],
): Promise<TerrainSource[]> {
  const isText = ({ name }: File) => WORLD_FILE.test(name) || PROJECTION.test(name)
  const others = files.filter((file) => !isText(file))
  const rasters = others.filter(({ name }) => RASTER.test(name))
  const texts = files.filter((file) => isText(file) && file.size <= MAX_TEXT_BYTES)
  const added = rasters.length > 0 ? rasters : others
  const all: TerrainSource[] = [
    ...known.filter(({ name }) => added.every((file) => file.name !== name)),
    ...added.map((file) => ({ name: file.name, blob: file })),
  ]
  return Promise.all(
    all.map(async (source) => {
      const stem = stemOf(source.name)
      const beside = async (ending: RegExp) =>
        texts.find(({ name }) => ending.test(name) && stemOf(name) === stem)?.text()
      const sidecars: Sidecars = {
        worldFile: (await beside(WORLD_FILE)) ?? source.beside?.worldFile,
        projection: (await beside(PROJECTION)) ?? source.beside?.projection,
      }
      return { ...source, beside: sidecars }
    }),
  )
}

function stemOf(name: string): string {
  return name.replace(/\.[^.]*$/, '').toLowerCase()
}
