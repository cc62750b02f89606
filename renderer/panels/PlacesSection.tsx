import { VEILS } from '../../core/picture/colours'
import { say } from '../../core/words/say'
import {
  formatClearHeight,
  formatDistance,
  formatHeight,
  formatNumber,
} from '../../core/words/units'
import { placeAnswers } from '../state/placeAnswers'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { moveTarget } from '../state/site'
import { Section } from './Section'

/** What the map shows of every named place, as a table. */
export function PlacesSection() {
  const places = placeAnswers.value
  const { units } = preferences.value
  return (
    <Section
      title={say('places.namedPlaces')}
      summary={say('places.count', { count: places.length })}
    >
      {places.length === 0 ? (
        <p class="section-note">{say('places.none')}</p>
      ) : (
        <>
          <p class="section-note">
            {say('places.what', { height: formatHeight(setup.value.flyingHeightM, units) })}
          </p>
          <table class="cols places">
            <thead>
              <tr>
                <th scope="col">{say('places.place')}</th>
                <th scope="col">{say('common.away')}</th>
                <th scope="col">{say('places.clearFrom')}</th>
                <th scope="col">{say('places.answer')}</th>
              </tr>
            </thead>
            <tbody>
              {places.map(({ name, at, distanceM, bearingDeg, fresnelM, answer }) => (
                <tr key={`${name} ${at.latDeg}`}>
                  <th scope="row">
                    <button
                      type="button"
                      class="link"
                      title={say('common.putTargetThere')}
                      onClick={() => moveTarget(at)}
                    >
                      {name}
                    </button>
                  </th>
                  <td>
                    {formatDistance(distanceM, units)}, {formatNumber(bearingDeg, 0)}°
                  </td>
                  <td>{Number.isNaN(fresnelM) ? '–' : formatClearHeight(fresnelM, units)}</td>
                  <td>{answer === null ? say('reading.noAnswer') : say(VEILS[answer].label)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
    </Section>
  )
}
