import { computed } from '@preact/signals'
import type L from 'leaflet'
import type { LatLon } from '../../core/geodesy/earth'
import { normalizeLonDeg } from '../../core/geodesy/geodesic'
import { locator, terrain } from '../state/terrain'

/** Longitude of the middle of the site. */
const middleLonDeg = computed((): number | null => {
  const [grid, place] = [terrain.value, locator.value]
  return grid && place ? place.toLatLon({ col: grid.cols / 2, row: grid.rows / 2 }).lonDeg : null
})

/**
 * A position as Leaflet wants it: on the turn of the globe that the middle of the site is on, so
 * that a site across the 180th meridian stays in one piece.
 */
export function onMap({ latDeg, lonDeg }: LatLon): L.LatLngTuple {
  const middle = middleLonDeg.peek()
  if (middle === null) return [latDeg, lonDeg]
  return [latDeg, middle + normalizeLonDeg(lonDeg - middle)]
}
