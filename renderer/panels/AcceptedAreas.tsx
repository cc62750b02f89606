import { approachDeg, type LandingArea } from '../../core/landing/landingArea'
import { changeAccepted, dropAccepted } from '../state/landing'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { formatHeight, formatNumber } from '../../core/words/units'
import { sizeWords } from '../../core/words/landingWords'

/** The landing areas of the plan. */
export function AcceptedAreas() {
  const { accepted } = setup.value.landing
  return (
    <ul class="waypoints" aria-label="Landing areas in the plan">
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
          aria-label={`Name of landing area ${index + 1}`}
          value={area.name}
          onChange={(event) =>
            changeAccepted(index, { name: event.currentTarget.value.trim() || area.name })
          }
        />
        <label class="check" title="The place to land at home, chosen before take-off">
          <input
            type="checkbox"
            checked={area.isHome}
            onChange={(event) => changeAccepted(index, { isHome: event.currentTarget.checked })}
          />
          home
        </label>
        <button
          type="button"
          aria-label={`Remove ${area.name}`}
          title="Remove"
          onClick={() => dropAccepted(index)}
        >
          ×
        </button>
      </div>
      <input
        type="text"
        class="obstacle-name landing-note"
        aria-label={`Note on ${area.name}`}
        placeholder="Note"
        value={area.note}
        onChange={(event) => changeAccepted(index, { note: event.currentTarget.value.trim() })}
      />
      <p class="small section-note">
        {sizeWords(area.sizeM2)}, run {formatHeight(area.runM, units)} at{' '}
        {formatNumber(area.runDeg, 0)}°
        {wind.speedMs > 0 &&
          `, approach ${formatNumber(approachDeg(area.runDeg, wind.fromDeg), 0)}° into the wind`}
        {'; '}
        <button type="button" class="link" onClick={() => changeSetup({ target: area.at })}>
          look there
        </button>
      </p>
    </li>
  )
}
