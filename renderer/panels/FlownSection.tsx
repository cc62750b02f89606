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
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The flight as it was recorded, and how it is compared. */
export function FlownSection() {
  const its = flown.value
  return (
    <Section title={say('flown.afterFlight')} summary={its ? its.name : ''}>
      <p class="section-note">{say('flown.bringLogFlightTrack')}</p>
      <div class="row">
        <button type="button" class={its ? '' : 'primary'} onClick={() => void chooseLog()}>
          {say('flown.bringLog')}
        </button>
        {its && (
          <button type="button" onClick={dropLog}>
            {say('common.remove')}
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
        <label for="logged-link">{say('flown.signal')}</label>
        <select
          id="logged-link"
          value={loggedLink.value}
          onChange={({ currentTarget }) =>
            (loggedLink.value = (
              currentTarget.value === 'control' ? 'control' : 'video'
            ) satisfies LinkRole)
          }
        >
          <option value="video">{say('common.videoLink')}</option>
          <option value="control">{say('common.controlLink')}</option>
        </select>
      </div>
      <label class="check">
        <input
          type="checkbox"
          checked={isPutOnGround.value}
          onChange={({ currentTarget }) => (isPutOnGround.value = currentTarget.checked)}
        />
        {say('flown.startsGroundPutFirst')}
      </label>
      {found && (
        <p class="section-note small">
          {Math.abs(lifted) < 0.5
            ? say('flown.heightsLogged')
            : say('flown.loggedHeights', {
                way: lifted < 0 ? 'down' : 'up',
                lifted: formatHeight(Math.abs(lifted), units),
              })}
          {found.predicted.underGround > 0 &&
            say('flown.momentsLieFarUnder', { underGround: found.predicted.underGround })}
        </p>
      )}
      <div class="switch spaced" role="group" aria-label={say('flown.trackShows')}>
        {(['way', 'difference'] as const).map((what) => (
          <button
            type="button"
            key={what}
            aria-pressed={trackShows.value === what}
            onClick={() => (trackShows.value = what)}
          >
            {what === 'way' ? say('flown.kindWay') : say('flown.measuredPredicted')}
          </button>
        ))}
      </div>
      <ul class="track-legend" aria-label={say('flown.trackMap')}>
        {(trackShows.value === 'way'
          ? WAY_KINDS.map((kind, i) => ({ name: say(WAY_NAMES[kind]), ...WAY_STYLES[i] }))
          : DIFFERENCES.map((each) => ({ ...each, name: say(each.name) }))
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
