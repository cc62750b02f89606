import type L from 'leaflet'
import type { LatLon } from '../../core/geodesy/earth'
import { normalizeLonDeg } from '../../core/geodesy/geodesic'
import { GridLocator } from '../../core/terrain/grid'
import { terrain } from '../state/terrain'

/**
 * A position as Leaflet wants it: on the turn of the globe that the middle of the site is on, so
 * that a site across the 180th meridian stays in one piece.
 */
export function onMap({ latDeg, lonDeg }: LatLon): L.LatLngTuple {
  const grid = terrain.peek()
  if (!grid) return [latDeg, lonDeg]
  const middle = new GridLocator(grid).toLatLon({ col: grid.cols / 2, row: grid.rows / 2 })
  return [latDeg, middle.lonDeg + normalizeLonDeg(lonDeg - middle.lonDeg)]
}
