import { geodesic } from '../../core/geodesy/geodesic'
import { cellIndex, groundAt } from '../../core/terrain/grid'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { coverage, locator, pointer, terrain } from '../state/site'
import { formatDistance, formatHeight, formatLatLon, formatNumber } from '../state/units'

/** What is under the pointer: position, ground, clear heights, distance from the launch point. */
export function PointerReadout() {
  const [at, grid, place] = [pointer.value, terrain.value, locator.value]
  if (!at || !grid || !place) {
    return (
      <div class="readout readout-empty">Point at the map to read it; click for a profile.</div>
    )
  }
  const { units } = preferences.value
  const position = place.toGrid(at)
  const ground = groundAt(grid, position)
  const cell = cellIndex(grid, position)
  const fields = coverage.value
  const line = geodesic(setup.value.launch, at)
  return (
    <dl class="readout">
      <div class="readout-position">
        <dt>Position</dt>
        <dd>{formatLatLon(at)}</dd>
      </div>
      <div>
        <dt>From launch</dt>
        <dd>
          {formatDistance(line.distanceM, units)} at {formatNumber(line.bearingDeg, 0)}°
        </dd>
      </div>
      <div>
        <dt>Ground</dt>
        <dd>{Number.isNaN(ground) ? 'no data' : formatHeight(ground, units)}</dd>
      </div>
      <div>
        <dt>Clear height, sight</dt>
        <dd>{fields && cell >= 0 ? formatHeight(fields.sightM[cell], units) : '–'}</dd>
      </div>
      <div>
        <dt>Clear height, Fresnel</dt>
        <dd>{fields && cell >= 0 ? formatHeight(fields.fresnelM[cell], units) : '–'}</dd>
      </div>
    </dl>
  )
}
