import { computed, signal } from '@preact/signals'
import {
  addCrossing,
  areColsShown,
  crossings,
  findColsAlong,
  findColsInView,
  forgetCols,
  isRidgeShown,
  type Crossing,
} from '../state/cols'
import { startDrawing } from '../state/drawing'
import { keepPlace } from '../state/keptPlaces'
import { preferences } from '../state/preferences'
import { addWaypoints } from '../state/route'
import { setup } from '../state/setup'
import { moveTarget } from '../state/site'
import {
  formatClearHeight,
  formatDistance,
  formatHeight,
  formatNumber,
} from '../../core/words/units'
import { KeptPlaces } from './KeptPlaces'
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

/** Columns of the table: what they say and by what they sort. */
const COLUMNS: readonly {
  readonly name: TextKey
  readonly of: (col: Crossing) => number
  readonly help: TextKey
}[] = [
  { name: 'common.col', of: (col) => -col.depthM, help: 'cols.heightGroundAmsl' },
  { name: 'common.away', of: (col) => col.distanceM, help: 'cols.distanceLaunchPoint' },
  { name: 'cols.clear', of: (col) => col.fresnelM, help: 'cols.clearHeightOverFresnel' },
  { name: 'common.margin', of: (col) => -col.marginDb, help: 'cols.videoFlyingHeight' },
  { name: 'cols.climb', of: (col) => col.climbM, help: 'cols.launchPointThere' },
]

const sortedBy = signal(2)

const rows = computed(() => {
  const { of } = COLUMNS[sortedBy.value]
  const key = (col: Crossing) => (Number.isNaN(of(col)) ? Infinity : of(col))
  return [...crossings.value].sort((a, b) => key(a) - key(b))
})

/** Where a ridge can be crossed. */
export function ColsSection() {
  const { units } = preferences.value
  const found = rows.value
  return (
    <Section
      title={say('cols.ridgeCrossings')}
      summary={areColsShown.value ? say('cols.cols', { found: found.length }) : ''}
    >
      <p class="section-note">{say('cols.colLowPassBetween')}</p>
      <div class="row">
        <button type="button" onClick={() => void findColsInView()}>
          {say('cols.colsView')}
        </button>
        <button type="button" onClick={drawRidge}>
          {say('cols.alongRidge')}
        </button>
        {areColsShown.value && (
          <button type="button" onClick={forgetCols}>
            {say('common.forget')}
          </button>
        )}
      </div>
      {areColsShown.value && found.length === 0 && (
        <p class="section-note">
          {isRidgeShown.value ? say('cols.noLowPointAlong') : say('cols.noColViewLies')}
        </p>
      )}
      {found.length > 0 && (
        <>
          <table class="cols">
            <thead>
              <tr>
                {COLUMNS.map(({ name, help }, i) => (
                  <th
                    key={name}
                    scope="col"
                    aria-sort={sortedBy.value === i ? 'ascending' : undefined}
                  >
                    <button
                      type="button"
                      class="link"
                      title={say('cols.sortsTable', { help: say(help) })}
                      onClick={() => (sortedBy.value = i)}
                    >
                      {say(name)}
                      {sortedBy.value === i && ' ▾'}
                    </button>
                  </th>
                ))}
                <th>
                  <span class="only-heard">{say('cols.add')}</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {found.map((col) => (
                <tr key={col.cell}>
                  <th scope="row">
                    <button
                      type="button"
                      class="link"
                      title={say('common.putTargetThere')}
                      onClick={() => moveTarget(col)}
                    >
                      {formatHeight(col.groundM, units)}
                    </button>
                  </th>
                  <td>{formatDistance(col.distanceM, units)}</td>
                  <td>
                    {Number.isNaN(col.fresnelM) ? '–' : formatClearHeight(col.fresnelM, units)}
                  </td>
                  <td>
                    {Number.isNaN(col.marginDb) ? '–' : `${formatNumber(col.marginDb, 0)} dB`}
                  </td>
                  <td>{formatHeight(col.climbM, units)}</td>
                  <td>
                    <button
                      type="button"
                      class="add"
                      aria-label={say('cols.makeColWaypoint', {
                        groundM: formatHeight(col.groundM, units),
                      })}
                      title={say('cols.makeNextWaypoint')}
                      onClick={() => addCrossing(col)}
                    >
                      +
                    </button>
                    <button
                      type="button"
                      class="add"
                      aria-label={say('cols.keepColPlan', {
                        groundM: formatHeight(col.groundM, units),
                      })}
                      title={say('cols.keepPlan')}
                      onClick={() => keepPlace('col', col)}
                    >
                      ✓
                    </button>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          <p class="section-note small">
            {say('cols.clearHeightAboveCols', {
              flyingHeightM: formatHeight(setup.value.flyingHeightM, units),
            })}
          </p>
        </>
      )}
      <KeptPlaces
        kind="col"
        label={say('cols.colsPlan')}
        act={(place) => addWaypoints([place])}
        actName={say('cols.waypoint')}
      />
    </Section>
  )
}

function drawRidge(): void {
  startDrawing(say('cols.ridgeLine'), 'line', (geometry) => {
    if (geometry.type === 'LineString') findColsAlong(geometry)
  })
}
