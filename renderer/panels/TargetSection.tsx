import { changeSetup, setup } from '../state/setup'
import { mapCentre, moveTarget } from '../state/site'
import { PositionFields } from './PositionFields'
import { PositionText } from './PositionText'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The end of the path looked at, for those who do not click. */
export function TargetSection() {
  const { target } = setup.value
  return (
    <Section title={say('common.target')} open>
      {target ? (
        <div class="fields">
          <PositionFields of={say('common.target')} at={target} onChange={moveTarget} />
          <PositionText of={say('common.target')} at={target} onChange={moveTarget} />
          <button type="button" onClick={() => changeSetup({ target: null })}>
            {say('common.remove')}
          </button>
        </div>
      ) : (
        <>
          <p class="section-note">{say('target.clickMap')}</p>
          <button
            type="button"
            disabled={!mapCentre.value}
            onClick={() => mapCentre.value && moveTarget(mapCentre.value)}
          >
            {say('target.targetMiddleMap')}
          </button>
        </>
      )}
    </Section>
  )
}
