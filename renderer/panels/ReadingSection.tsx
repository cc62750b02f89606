import type { Extreme, Reading } from '../../core/coverage/reading'
import { startDrawing } from '../state/drawing'
import { preferences } from '../state/preferences'
import { readings, type Readings } from '../state/reading'
import { changeSetup, setup } from '../state/setup'
import { moveTarget } from '../state/site'
import { formatClearHeight, formatHeight, formatNumber, formatShare } from '../../core/words/units'
import { Section } from './Section'

/** The clear heights along a line, such as a ridge, or over an area, such as a valley. */
export function ReadingSection() {
  const found = readings.value
  const { reading } = setup.value
  return (
    <Section title="Read a line or an area" summary={found ? lowestWords(found.fresnel) : ''}>
      <p class="section-note">
        Draw along a ridge to find where it can be crossed lowest, or around a valley to find from
        which height it is clear throughout.
      </p>
      <div class="row">
        <button type="button" onClick={() => draw('line')}>
          Line
        </button>
        <button type="button" onClick={() => draw('area')}>
          Area
        </button>
        {reading && (
          <button type="button" onClick={() => changeSetup({ reading: null })}>
            Remove
          </button>
        )}
      </div>
      {found && <ReadingTable found={found} />}
    </Section>
  )
}

function draw(shape: 'line' | 'area'): void {
  startDrawing(shape === 'line' ? 'Line to read' : 'Area to read', shape, (geometry) => {
    if (geometry.type !== 'Point') changeSetup({ reading: geometry })
  })
}

function lowestWords({ lowest }: Reading): string {
  return lowest ? `from ${formatClearHeight(lowest.heightM, preferences.value.units)}` : 'no answer'
}

function ReadingTable({ found }: { found: Readings }) {
  const { sight, fresnel, placeOf } = found
  const { units } = preferences.value
  if (sight.cells === 0) {
    return <p class="section-note">No answer there: outside the terrain, the radius or sector.</p>
  }
  const height = (extreme: Extreme | null) =>
    extreme && (
      <button
        type="button"
        class="link"
        title="Put the target there"
        onClick={() => moveTarget(placeOf(extreme.cell))}
      >
        {formatClearHeight(extreme.heightM, units)}
      </button>
    )
  return (
    <>
      <table class="reading">
        <thead>
          <tr>
            <th scope="col">Clear height</th>
            <th scope="col">sight</th>
            <th scope="col">Fresnel</th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row">Lowest</th>
            <td>{height(sight.lowest)}</td>
            <td>{height(fresnel.lowest)}</td>
          </tr>
          <tr>
            <th scope="row">Clear throughout from</th>
            <td>{height(sight.highest)}</td>
            <td>{height(fresnel.highest)}</td>
          </tr>
          <tr>
            <th scope="row">Clear at {formatHeight(setup.value.flyingHeightM, units)}</th>
            <td>{formatShare(sight.clearShare)}</td>
            <td>{formatShare(fresnel.clearShare)}</td>
          </tr>
        </tbody>
      </table>
      <p class="section-note">
        Over {formatNumber(sight.cells, 0)} cells
        {sight.unanswered > 0 && `, ${formatNumber(sight.unanswered, 0)} without an answer`}. The
        heights are above ground; click one to put the target there.
      </p>
    </>
  )
}
