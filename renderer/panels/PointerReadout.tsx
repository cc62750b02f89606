import { ERROR_GAINS } from '../../core/coverage/uncertainty'
import { geodesic } from '../../core/geodesy/geodesic'
import { cellIndex, GridLocator, groundAt } from '../../core/terrain/grid'
import { formatPosition } from '../state/positions'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { coverage } from '../state/coverage'
import { pointer } from '../state/site'
import { marginAt } from '../state/margin'
import { locator, terrain } from '../state/terrain'
import { say } from '../../core/words/say'
import {
  formatClearHeight,
  formatDistance,
  formatHeight,
  formatNumber,
} from '../../core/words/units'

/** What is under the pointer: position, ground, clear heights, distance from the launch point. */
export function PointerReadout() {
  const [at, grid, place] = [pointer.value, terrain.value, locator.value]
  if (!at || !grid || !place) {
    return <div class="readout readout-empty">{say('pointerReadout.pointMapReadClick')}</div>
  }
  const { units } = preferences.value
  const position = place.toGrid(at)
  const ground = groundAt(grid, position)
  const fields = coverage.value
  const cell = fields ? cellIndex(fields.frame, new GridLocator(fields.frame).toGrid(at)) : -1
  const line = geodesic(setup.value.launch, at)
  const clearHeight = (heightsM: Float32Array | undefined) =>
    heightsM && cell >= 0 ? formatClearHeight(heightsM[cell], units) : '–'
  const band =
    fields && cell >= 0 && !Number.isNaN(fields.sightM[cell])
      ? fields.errorM * ERROR_GAINS[fields.edge[cell]]
      : 0
  const signals = [marginAt('video', at), marginAt('control', at)]
  return (
    <dl class="readout">
      <div class="readout-position">
        <dt>{say('common.position')}</dt>
        <dd>{formatPosition(at)}</dd>
      </div>
      <div>
        <dt>{say('pointerReadout.launch')}</dt>
        <dd>
          {say('common.at', {
            distanceM: formatDistance(line.distanceM, units),
            bearingDeg: formatNumber(line.bearingDeg, 0),
          })}
        </dd>
      </div>
      <div>
        <dt>{say('common.ground')}</dt>
        <dd>{Number.isNaN(ground) ? say('pointerReadout.noData') : formatHeight(ground, units)}</dd>
      </div>
      <div>
        <dt>{say('pointerReadout.clearHeightSight')}</dt>
        <dd>{clearHeight(fields?.sightM)}</dd>
      </div>
      <div>
        <dt>{say('pointerReadout.clearHeightFresnel')}</dt>
        <dd>{clearHeight(fields?.fresnelM)}</dd>
      </div>
      {signals.some((margin) => margin !== null) && (
        <div>
          <dt>{say('pointerReadout.marginVideoControl')}</dt>
          <dd>
            {signals.map((margin) => (margin === null ? '–' : formatNumber(margin, 0))).join(' / ')}{' '}
            dB
          </dd>
        </div>
      )}
      {band > 0 && (
        <div>
          <dt>{say('common.terrainError')}</dt>
          <dd>± {formatHeight(band, units)}</dd>
        </div>
      )}
    </dl>
  )
}
