import { showBrief } from '../state/brief'
import { coverage } from '../state/coverage'
import { Section } from './Section'

/** The way to the field brief. */
export function BriefSection() {
  return (
    <Section title="Field brief">
      <p class="section-note">
        Map, legs with their turn-by figures, corridor, antennas, horizon, link budgets, landing
        areas with the way there, checklist and room for notes: to print, or as one file for the
        phone. Distances and heights in the units chosen above.
      </p>
      <div class="row">
        <button
          type="button"
          disabled={!coverage.value || coverage.value.isPreview}
          onClick={() => void showBrief()}
        >
          Make the brief…
        </button>
      </div>
    </Section>
  )
}
