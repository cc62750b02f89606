import { strToU8, zipSync } from 'fflate'
import type { GridFrame } from '../terrain/grid'

/**
 * Sidecar files that place a picture of one pixel a cell on the map: a world file (six lines, cell
 * size and the centre of the first pixel), and the XML that carries the coordinate system.
 * @returns contents by the ending that the picture's name gets
 */
export function pictureSidecars(frame: GridFrame): Record<'.pgw' | '.png.aux.xml', string> {
  const { cellM, westM, northM, crs } = frame
  const lines = [cellM, 0, 0, -cellM, westM + cellM / 2, northM - cellM / 2]
  const system = crs.epsg === null ? escapeXml(crs.definition) : `EPSG:${crs.epsg}`
  return {
    '.pgw': `${lines.join('\n')}\n`,
    '.png.aux.xml': `<PAMDataset>\n  <SRS>${system}</SRS>\n  <GeoTransform>${[westM, cellM, 0, northM, 0, -cellM].join(', ')}</GeoTransform>\n</PAMDataset>\n`,
  }
}

function escapeXml(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;')
}

/** What a picture and its sidecars are called, without their endings. */
export const PICTURE_NAME = 'shading'

/** A PNG and its sidecars in one archive, for where only one file can be handed over. */
export function zipPicture(png: Uint8Array, frame: GridFrame): Uint8Array<ArrayBuffer> {
  const sidecars = Object.entries(pictureSidecars(frame)).map(([ending, text]) => [
    PICTURE_NAME + ending,
    strToU8(text),
  ])
  return zipSync({ [`${PICTURE_NAME}.png`]: [png, { level: 0 }], ...Object.fromEntries(sidecars) })
}
