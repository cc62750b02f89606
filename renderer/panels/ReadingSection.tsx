import type { Extreme, Reading } from '../../core/coverage/reading'
import { startDrawing } from '../state/drawing'
import { preferences } from '../state/preferences'
import { readings, type Readings } from '../state/reading'
import { changeSetup, setup } from '../state/setup'
import { moveTarget } from '../state/site'
import { formatClearHeight, formatHeight, formatNumber, formatShare } from '../../core/words/units'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The clear heights along a line, such as a ridge, or over an area, such as a valley. */
export function ReadingSection() {
  const found = readings.value
  const { reading } = setup.value
  return (
    <Section title={say('reading.readLineArea')} summary={found ? lowestWords(found.fresnel) : ''}>
      <p class="section-note">{say('reading.drawAlongRidgeFind')}</p>
      <div class="row">
        <button type="button" onClick={() => draw('line')}>
          {say('reading.line')}
        </button>
        <button type="button" onClick={() => draw('area')}>
          {say('reading.area')}
        </button>
        {reading && (
          <button type="button" onClick={() => changeSetup({ reading: null })}>
            {say('common.remove')}
          </button>
        )}
      </div>
      {found && <ReadingTable found={found} />}
    </Section>
  )
}

function draw(shape: 'line' | 'area'): void {
  startDrawing(
    shape === 'line' ? say('reading.lineRead') : say('reading.areaRead'),
    shape,
    (geometry) => {
      if (geometry.type !== 'Point') changeSetup({ reading: geometry })
    },
  )
}

function lowestWords({ lowest }: Reading): string {
  return lowest
    ? say('reading.from', { heightM: formatClearHeight(lowest.heightM, preferences.value.units) })
    : say('reading.noAnswer')
}

function ReadingTable({ found }: { found: Readings }) {
  const { sight, fresnel, placeOf } = found
  const { units } = preferences.value
  if (sight.cells === 0) {
    return <p class="section-note">{say('reading.noAnswerThereOutside')}</p>
  }
  const height = (extreme: Extreme | null) =>
    extreme && (
      <button
        type="button"
        class="link"
        title={say('common.putTargetThere')}
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
            <th scope="col">{say('reading.clearHeight')}</th>
            <th scope="col">{say('common.sight')}</th>
            <th scope="col">{say('common.fresnel')}</th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row">{say('reading.lowest')}</th>
            <td>{height(sight.lowest)}</td>
            <td>{height(fresnel.lowest)}</td>
          </tr>
          <tr>
            <th scope="row">{say('reading.clearThroughout')}</th>
            <td>{height(sight.highest)}</td>
            <td>{height(fresnel.highest)}</td>
          </tr>
          <tr>
            <th scope="row">
              {say('reading.clear', {
                flyingHeightM: formatHeight(setup.value.flyingHeightM, units),
              })}
            </th>
            <td>{formatShare(sight.clearShare)}</td>
            <td>{formatShare(fresnel.clearShare)}</td>
          </tr>
        </tbody>
      </table>
      <p class="section-note">
        {say('reading.overCells', { cells: sight.cells })}
        {sight.unanswered > 0 &&
          say('reading.withoutAnswer', { unanswered: formatNumber(sight.unanswered, 0) })}
        {say('reading.heightsAboveGroundClick')}
      </p>
    </>
  )
}
