import { DRAWN_AREA } from '../../core/landing/basins'
import { isSearching } from '../state/landing'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { formatHeight, formatNumber } from '../../core/words/units'
import { areValleysShown, chosenValley, showValleys, valleyM2, valleys } from '../state/valleys'
import { NumberField } from './NumberField'
import { Section } from './Section'

/** Which valleys forgive: picture high up and down to the ground, and places to land. */
export function ValleysSection() {
  const { units } = preferences.value
  const shown = valleys.value
  const percent = (share: number) =>
    Number.isNaN(share) ? '–' : `${formatNumber(100 * share, 0)} %`
  return (
    <Section title="Safe valleys" summary={areValleysShown.value ? `${shown.length} valleys` : ''}>
      <p class="section-note">
        A valley forgives where the picture lasts down to the ground and there is a place to land.
      </p>
      <div class="row">
        <button type="button" onClick={() => showValleys(!areValleysShown.value)}>
          {areValleysShown.value ? 'Hide valleys' : 'Show valleys'}
        </button>
      </div>
      <div class="fields spaced">
        <NumberField
          label="A valley begins at"
          unit="km²"
          value={valleyM2.value / 1e6}
          digits={1}
          min={0.1}
          max={500}
          step={0.5}
          help="Ground that drains through it where it begins: more for fewer, larger valleys."
          onChange={(squareKm) => (valleyM2.value = squareKm * 1e6)}
        />
      </div>
      {shown.length > 0 && (
        <>
          <div class="found-areas">
            <table class="cols">
              <thead>
                <tr>
                  <th scope="col">Valley</th>
                  <th scope="col">Size</th>
                  <th scope="col">At {formatHeight(setup.value.flyingHeightM, units)}</th>
                  <th scope="col">At {formatHeight(2, units)}</th>
                  <th scope="col" title="Landing areas with some picture to the ground, of all">
                    Landing
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
                        title="Show it on the map"
                        onClick={() => (chosenValley.value = valley.label)}
                      >
                        {valley.label === DRAWN_AREA ? 'drawn' : valley.label}
                      </button>
                    </th>
                    <td>{formatNumber(valley.sizeM2 / 1e6, 1)} km²</td>
                    <td>{percent(valley.inPicture)}</td>
                    <td>{percent(valley.toGround)}</td>
                    <td>{isSearching.value ? `${valley.seenAreas} of ${valley.areas}` : '–'}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
          <p class="section-note small">
            The largest valleys, the most forgiving first. Shares of each valley's ground in sight
            of the launch antenna; landing areas that keep some picture down to the ground, of all
            found there. An area drawn under Read a line or an area is listed first.
          </p>
        </>
      )}
    </Section>
  )
}
