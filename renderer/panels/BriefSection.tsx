import { showBrief } from '../state/brief'
import { coverage } from '../state/coverage'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The way to the field brief. */
export function BriefSection() {
  return (
    <Section title={say('common.fieldBrief')}>
      <p class="section-note">{say('brief.mapLegsTheirTurn')}</p>
      <div class="row">
        <button
          type="button"
          disabled={!coverage.value || coverage.value.isPreview}
          onClick={() => void showBrief()}
        >
          {say('brief.makeBrief')}
        </button>
      </div>
    </Section>
  )
}
