import { approachDeg, type LandingArea } from '../../core/landing/landingArea'
import { changeAccepted, dropAccepted } from '../state/landing'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { formatHeight, formatNumber } from '../../core/words/units'
import { say } from '../../core/words/say'
import { sizeWords } from '../../core/words/landingWords'

/** The landing areas of the plan. */
export function AcceptedAreas() {
  const { accepted } = setup.value.landing
  return (
    <ul class="waypoints" aria-label={say('acceptedAreas.landingAreasPlan')}>
      {accepted.map((area, i) => (
        <AcceptedRow key={i} area={area} index={i} />
      ))}
    </ul>
  )
}

function AcceptedRow({ area, index }: { area: LandingArea; index: number }) {
  const { units } = preferences.value
  const { wind } = setup.value
  return (
    <li>
      <div class="landing-head">
        <input
          type="text"
          class="obstacle-name"
          aria-label={say('acceptedAreas.nameLandingArea', { index: index + 1 })}
          value={area.name}
          onChange={(event) =>
            changeAccepted(index, { name: event.currentTarget.value.trim() || area.name })
          }
        />
        <label class="check" title={say('acceptedAreas.placeLandHomeChosen')}>
          <input
            type="checkbox"
            checked={area.isHome}
            onChange={(event) => changeAccepted(index, { isHome: event.currentTarget.checked })}
          />
          {say('acceptedAreas.home')}
        </label>
        <button
          type="button"
          aria-label={say('common.removeNamed', { name: area.name })}
          title={say('common.remove')}
          onClick={() => dropAccepted(index)}
        >
          ×
        </button>
      </div>
      <input
        type="text"
        class="obstacle-name landing-note"
        aria-label={say('acceptedAreas.noteOn', { name: area.name })}
        placeholder={say('acceptedAreas.placeholderNote')}
        value={area.note}
        onChange={(event) => changeAccepted(index, { note: event.currentTarget.value.trim() })}
      />
      <p class="small section-note">
        {say('common.run', {
          sizeM2: sizeWords(area.sizeM2),
          runM: formatHeight(area.runM, units),
          runDeg: formatNumber(area.runDeg, 0),
        })}
        {wind.speedMs > 0 &&
          say('common.approachIntoWind', {
            runDeg: formatNumber(approachDeg(area.runDeg, wind.fromDeg), 0),
          })}
        {'; '}
        <button type="button" class="link" onClick={() => changeSetup({ target: area.at })}>
          {say('acceptedAreas.lookThere')}
        </button>
      </p>
    </li>
  )
}
