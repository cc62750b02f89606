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
import { say } from '../../core/words/say'
import { Section } from './Section'

/** Other plans of the same site, beside the one at hand. */
export function CompareSection() {
  const others = otherPlans.value
  const isFull = others.length >= MOST_OTHERS
  return (
    <Section
      title={say('compare.comparePlans')}
      summary={others.length > 0 ? say('compare.besideOne', { others: others.length }) : ''}
    >
      <p class="section-note">{say('compare.putOtherPlansSite')}</p>
      <div class="row">
        <button type="button" disabled={isFull} onClick={() => void chooseOtherPlan()}>
          {say('compare.anotherPlan')}
        </button>
        <button
          type="button"
          disabled={isFull}
          title={say('compare.planNowChangedCompared')}
          onClick={keepForComparison}
        >
          {say('compare.one')}
        </button>
      </div>
      {recentPlans.value.length > 0 && !isFull && (
        <div class="field field-wide">
          <label for="compare-recent">{say('compare.recentPlan')}</label>
          <select
            id="compare-recent"
            value=""
            onChange={({ currentTarget }) => {
              const plan = recentPlans.value.find(({ at }) => at === currentTarget.value)
              if (plan) comparePlan(plan)
              currentTarget.value = ''
            }}
          >
            <option value="">{say('compare.choose')}</option>
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
          <ul class="recent" aria-label={say('compare.plansBesideOne')}>
            {others.map(({ name }, i) => (
              <li key={name}>
                <span class="ghost-line" data-ghost={i} aria-hidden="true" />
                <span class="ghost-name">{name}</span>
                <button
                  type="button"
                  aria-label={say('common.removeNamed', { name })}
                  title={say('common.remove')}
                  onClick={() => dropOther(i)}
                >
                  ×
                </button>
              </li>
            ))}
          </ul>
          <div class="row">
            <button type="button" class="primary" onClick={() => (isComparing.value = true)}>
              {say('compare.sideSide')}
            </button>
          </div>
        </>
      )}
    </Section>
  )
}
