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
import { Section } from './Section'

/** Columns of the table: what they say and by what they sort. */
const COLUMNS = [
  { name: 'Col', of: (col: Crossing) => -col.depthM, help: 'Height of its ground, AMSL' },
  { name: 'Away', of: (col: Crossing) => col.distanceM, help: 'Distance from the launch point' },
  { name: 'Clear', of: (col: Crossing) => col.fresnelM, help: 'Clear height over it, Fresnel' },
  { name: 'Margin', of: (col: Crossing) => -col.marginDb, help: 'Video, at the flying height' },
  { name: 'Climb', of: (col: Crossing) => col.climbM, help: 'From the launch point to there' },
] as const

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
    <Section title="Ridge crossings" summary={areColsShown.value ? `${found.length} cols` : ''}>
      <p class="section-note">
        A col is the low pass between two summits: there a ridge is crossed lowest.
      </p>
      <div class="row">
        <button type="button" onClick={() => void findColsInView()}>
          Cols in view
        </button>
        <button type="button" onClick={drawRidge}>
          Along a ridge…
        </button>
        {areColsShown.value && (
          <button type="button" onClick={forgetCols}>
            Forget
          </button>
        )}
      </div>
      {areColsShown.value && found.length === 0 && (
        <p class="section-note">
          {isRidgeShown.value
            ? 'No low point along that line lies 15 m under both its sides.'
            : 'No col in view lies 15 m under both its summits; zoom out for more.'}
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
                      title={`${help}; sorts the table`}
                      onClick={() => (sortedBy.value = i)}
                    >
                      {name}
                      {sortedBy.value === i && ' ▾'}
                    </button>
                  </th>
                ))}
                <th>
                  <span class="only-heard">Add</span>
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
                      title="Put the target there"
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
                      aria-label={`Make the col at ${formatHeight(col.groundM, units)} a waypoint`}
                      title="Make it the next waypoint"
                      onClick={() => addCrossing(col)}
                    >
                      +
                    </button>
                    <button
                      type="button"
                      class="add"
                      aria-label={`Keep the col at ${formatHeight(col.groundM, units)} in the plan`}
                      title="Keep it in the plan"
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
            Clear height above the col's ground; margin of the video link at{' '}
            {formatHeight(setup.value.flyingHeightM, units)}; climb from the launch point to the
            clear height. Click a col's height to look at the path there.
          </p>
        </>
      )}
      <KeptPlaces
        kind="col"
        label="Cols in the plan"
        act={(place) => addWaypoints([place])}
        actName="Waypoint"
      />
    </Section>
  )
}

function drawRidge(): void {
  startDrawing('Ridge line', 'line', (geometry) => {
    if (geometry.type === 'LineString') findColsAlong(geometry)
  })
}
