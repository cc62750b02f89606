import { useSignal } from '@preact/signals'
import { chooseIncoming, HAND_OVERS, handOver } from '../state/exchange'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The plan for other programs and the aircraft, and theirs for the plan. */
export function HandOverSection() {
  const chosen = useSignal<(typeof HAND_OVERS)[number]['id']>('gpx')
  return (
    <Section title={say('handOver.handOver')}>
      <p class="section-note">{say('handOver.heightsWrittenAboveSea')}</p>
      <div class="field field-wide">
        <label for="hand-over">{say('handOver.format')}</label>
        <select
          id="hand-over"
          value={chosen.value}
          onChange={({ currentTarget }) => {
            const format = HAND_OVERS.find(({ id }) => id === currentTarget.value)
            if (format) chosen.value = format.id
          }}
        >
          {HAND_OVERS.map(({ id, label }) => (
            <option key={id} value={id}>
              {say(label)}
            </option>
          ))}
        </select>
      </div>
      <div class="row">
        <button type="button" onClick={() => void handOver(chosen.value)}>
          {say('handOver.handOverButton')}
        </button>
        <button type="button" onClick={() => void chooseIncoming()}>
          {say('handOver.bring')}
        </button>
      </div>
    </Section>
  )
}
