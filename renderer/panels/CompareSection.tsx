import { whenWords } from '../../core/words/moment'
import {
  chooseOtherPlan,
  comparePlan,
  dropOther,
  isComparing,
  keepForComparison,
  MOST_OTHERS,
  otherPlans,
} from '../state/comparePlans'
import { recentPlans } from '../state/recentPlans'
import { Section } from './Section'

/** Other plans of the same site, beside the one at hand. */
export function CompareSection() {
  const others = otherPlans.value
  const isFull = others.length >= MOST_OTHERS
  return (
    <Section
      title="Compare plans"
      summary={others.length > 0 ? `${others.length} beside this one` : ''}
    >
      <p class="section-note">
        Put other plans of this site beside this one: their routes on the map, their figures in a
        table.
      </p>
      <div class="row">
        <button type="button" disabled={isFull} onClick={() => void chooseOtherPlan()}>
          Another plan…
        </button>
        <button
          type="button"
          disabled={isFull}
          title="The plan as it is now, to be changed on and compared with"
          onClick={keepForComparison}
        >
          This one, as it is
        </button>
      </div>
      {recentPlans.value.length > 0 && !isFull && (
        <div class="field field-wide">
          <label for="compare-recent">A recent plan</label>
          <select
            id="compare-recent"
            value=""
            onChange={({ currentTarget }) => {
              const plan = recentPlans.value.find(({ at }) => at === currentTarget.value)
              if (plan) comparePlan(plan)
              currentTarget.value = ''
            }}
          >
            <option value="">choose…</option>
            {recentPlans.value.map(({ name, at }) => (
              <option key={at} value={at}>
                {name}, {whenWords(at)}
              </option>
            ))}
          </select>
        </div>
      )}
      {others.length > 0 && (
        <>
          <ul class="recent" aria-label="Plans beside this one">
            {others.map(({ name }, i) => (
              <li key={name}>
                <span class="ghost-line" data-ghost={i} aria-hidden="true" />
                <span class="ghost-name">{name}</span>
                <button
                  type="button"
                  aria-label={`Remove ${name}`}
                  title="Remove"
                  onClick={() => dropOther(i)}
                >
                  ×
                </button>
              </li>
            ))}
          </ul>
          <div class="row">
            <button type="button" class="primary" onClick={() => (isComparing.value = true)}>
              Side by side…
            </button>
          </div>
        </>
      )}
    </Section>
  )
}
