import { changeSetup, setup } from '../state/setup'
import { mapCentre, moveTarget } from '../state/site'
import { PositionFields } from './PositionFields'
import { PositionText } from './PositionText'
import { Section } from './Section'

/** The end of the path looked at, for those who do not click. */
export function TargetSection() {
  const { target } = setup.value
  return (
    <Section title="Target" open>
      {target ? (
        <div class="fields">
          <PositionFields of="Target" at={target} onChange={moveTarget} />
          <PositionText of="Target" at={target} onChange={moveTarget} />
          <button type="button" onClick={() => changeSetup({ target: null })}>
            Remove
          </button>
        </div>
      ) : (
        <>
          <p class="section-note">Click the map, or:</p>
          <button
            type="button"
            disabled={!mapCentre.value}
            onClick={() => mapCentre.value && moveTarget(mapCentre.value)}
          >
            Target in the middle of the map
          </button>
        </>
      )}
    </Section>
  )
}
