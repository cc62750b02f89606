import { WAY_KINDS, type LinkRole } from '../../core/log/predicted'
import { DIFFERENCES, WAY_NAMES, WAY_STYLES } from '../../core/words/flownWords'
import { formatHeight } from '../../core/words/units'
import {
  chooseLog,
  comparisonAtHand,
  dropLog,
  flown,
  isPutOnGround,
  loggedLink,
  trackShows,
} from '../state/flown'
import { preferences } from '../state/preferences'
import { Section } from './Section'

/** The flight as it was recorded, and how it is compared. */
export function FlownSection() {
  const its = flown.value
  return (
    <Section title="After the flight" summary={its ? its.name : ''}>
      <p class="section-note">
        Bring in the log of a flight: its track over the plan, its signal and charge beside what was
        predicted, and what to take from it into the link and the aircraft.
      </p>
      <div class="row">
        <button type="button" class={its ? '' : 'primary'} onClick={() => void chooseLog()}>
          Bring in a log…
        </button>
        {its && (
          <button type="button" onClick={dropLog}>
            Remove
          </button>
        )}
      </div>
      {its && <Options />}
    </Section>
  )
}

function Options() {
  const { units } = preferences.value
  const found = comparisonAtHand.value
  const lifted = found?.predicted.liftedM ?? 0
  return (
    <>
      <div class="field field-wide">
        <label for="logged-link">The signal is that of the</label>
        <select
          id="logged-link"
          value={loggedLink.value}
          onChange={({ currentTarget }) =>
            (loggedLink.value = (
              currentTarget.value === 'control' ? 'control' : 'video'
            ) satisfies LinkRole)
          }
        >
          <option value="video">video link</option>
          <option value="control">control link</option>
        </select>
      </div>
      <label class="check">
        <input
          type="checkbox"
          checked={isPutOnGround.value}
          onChange={({ currentTarget }) => (isPutOnGround.value = currentTarget.checked)}
        />
        It starts on the ground: put its first height there
      </label>
      {found && (
        <p class="section-note small">
          {Math.abs(lifted) < 0.5
            ? 'Heights as logged.'
            : `Logged heights ${lifted < 0 ? 'lowered' : 'raised'} by ${formatHeight(Math.abs(lifted), units)}.`}
          {found.predicted.underGround > 0 &&
            ` ${found.predicted.underGround} moments lie far under the ground: are their heights in the right unit, and over what they are said to be?`}
        </p>
      )}
      <div class="switch spaced" role="group" aria-label="The track shows">
        {(['way', 'difference'] as const).map((what) => (
          <button
            type="button"
            key={what}
            aria-pressed={trackShows.value === what}
            onClick={() => (trackShows.value = what)}
          >
            {what === 'way' ? 'Kind of way' : 'Measured to predicted'}
          </button>
        ))}
      </div>
      <ul class="track-legend" aria-label="The track on the map">
        {(trackShows.value === 'way'
          ? WAY_KINDS.map((kind, i) => ({ name: WAY_NAMES[kind], ...WAY_STYLES[i] }))
          : DIFFERENCES
        ).map(({ name, colour, dash }) => (
          <li key={name}>
            <svg width="42" height="10" aria-hidden="true">
              <line
                x1="1"
                x2="41"
                y1="5"
                y2="5"
                stroke={colour}
                stroke-width="3.4"
                stroke-dasharray={dash}
              />
            </svg>
            {name}
          </li>
        ))}
      </ul>
    </>
  )
}
