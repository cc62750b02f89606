import { formatCoordinates } from '../../core/geodesy/coordinates'
import type { LatLon } from '../../core/geodesy/earth'
import { preferences } from './preferences'

/** A position in the style the pilot likes. */
export function formatPosition(at: LatLon): string {
  return formatCoordinates(at, preferences.value.coordinateStyle)
}
