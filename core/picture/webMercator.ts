import type { LatLon } from '../geodesy/earth'

/** Pixels along the world's edge at zoom 0 (the usual scheme of web maps, EPSG:3857). */
const WORLD_PIXELS = 256

/** Position of a world pixel at a zoom; (0, 0) is the north-west corner of the world. */
export function worldPixelToLatLon(x: number, y: number, zoom: number): LatLon {
  const size = WORLD_PIXELS * 2 ** zoom
  return {
    lonDeg: (x / size) * 360 - 180,
    latDeg: (Math.atan(Math.sinh(Math.PI * (1 - (2 * y) / size))) * 180) / Math.PI,
  }
}

/** Ground length of a world pixel at a latitude, metres. */
export function worldPixelM(latDeg: number, zoom: number): number {
  const equatorM = 40_075_016.686
  return (equatorM * Math.cos((latDeg * Math.PI) / 180)) / (WORLD_PIXELS * 2 ** zoom)
}
