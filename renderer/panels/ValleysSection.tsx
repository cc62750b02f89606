import { DRAWN_AREA } from '../../core/landing/basins'
import { isSearching } from '../state/landing'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { formatHeight, formatNumber } from '../../core/words/units'
import { areValleysShown, chosenValley, showValleys, valleyM2, valleys } from '../state/valleys'
import { NumberField } from './NumberField'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** Which valleys forgive: picture high up and down to the ground, and places to land. */
export function ValleysSection() {
  const { units } = preferences.value
  const shown = valleys.value
  const percent = (share: number) =>
    Number.isNaN(share) ? '–' : `${formatNumber(100 * share, 0)} %`
  return (
    <Section
      title={say('valleys.safeValleys')}
      summary={areValleysShown.value ? say('valleys.valleys', { shown: shown.length }) : ''}
    >
      <p class="section-note">{say('valleys.valleyForgivesWherePicture')}</p>
      <div class="row">
        <button type="button" onClick={() => showValleys(!areValleysShown.value)}>
          {areValleysShown.value ? say('valleys.hideValleys') : say('valleys.showValleys')}
        </button>
      </div>
      <div class="fields spaced">
        <NumberField
          label={say('valleys.valleyBegins')}
          unit="km²"
          value={valleyM2.value / 1e6}
          digits={1}
          min={0.1}
          max={500}
          step={0.5}
          help={say('valleys.groundDrainsThroughWhere')}
          onChange={(squareKm) => (valleyM2.value = squareKm * 1e6)}
        />
      </div>
      {shown.length > 0 && (
        <>
          <div class="found-areas">
            <table class="cols">
              <thead>
                <tr>
                  <th scope="col">{say('valleys.valley')}</th>
                  <th scope="col">{say('common.size')}</th>
                  <th scope="col">
                    {say('valleys.at', {
                      flyingHeightM: formatHeight(setup.value.flyingHeightM, units),
                    })}
                  </th>
                  <th scope="col">
                    {say('valleys.atTwoMetres', { height: formatHeight(2, units) })}
                  </th>
                  <th scope="col" title={say('valleys.landingAreasSomePicture')}>
                    {say('common.landing')}
                  </th>
                </tr>
              </thead>
              <tbody>
                {shown.map((valley) => (
                  <tr
                    key={valley.label}
                    class={chosenValley.value === valley.label ? 'chosen-row' : ''}
                  >
                    <th scope="row">
                      <button
                        type="button"
                        class="link"
                        aria-pressed={chosenValley.value === valley.label}
                        title={say('valleys.showMap')}
                        onClick={() => (chosenValley.value = valley.label)}
                      >
                        {valley.label === DRAWN_AREA ? say('common.drawn') : valley.label}
                      </button>
                    </th>
                    <td>{formatNumber(valley.sizeM2 / 1e6, 1)} km²</td>
                    <td>{percent(valley.inPicture)}</td>
                    <td>{percent(valley.toGround)}</td>
                    <td>
                      {isSearching.value
                        ? say('valleys.of', { seenAreas: valley.seenAreas, areas: valley.areas })
                        : '–'}
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
          <p class="section-note small">{say('valleys.largestValleysMostForgiving')}</p>
        </>
      )}
    </Section>
  )
}
