import { useSignal } from '@preact/signals'
import { chooseIncoming, HAND_OVERS, handOver } from '../state/exchange'
import { Section } from './Section'

/** The plan for other programs and the aircraft, and theirs for the plan. */
export function HandOverSection() {
  const chosen = useSignal<(typeof HAND_OVERS)[number]['id']>('gpx')
  return (
    <Section title="Hand over">
      <p class="section-note">
        Heights are written above sea level, from this terrain: check how your aircraft or program
        takes them before you load a route.
      </p>
      <div class="field field-wide">
        <label for="hand-over">Format</label>
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
              {label}
            </option>
          ))}
        </select>
      </div>
      <div class="row">
        <button type="button" onClick={() => void handOver(chosen.value)}>
          Hand over…
        </button>
        <button type="button" onClick={() => void chooseIncoming()}>
          Bring in…
        </button>
      </div>
    </Section>
  )
}
