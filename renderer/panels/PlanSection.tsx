import { whenWords } from '../../core/words/moment'
import { choosePlan, openPlan, savePlan } from '../state/planFile'
import { isUnsaved, saved } from '../state/planText'
import { recentPlans } from '../state/recentPlans'
import { setupHistory } from '../state/setup'
import { stepName } from '../state/stepNames'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The plan as a file: what the pilot set up, not what follows from it. */
export function PlanSection() {
  const { name = '', at = null } = saved.value ?? {}
  const state = isUnsaved.value
    ? say('plan.changesNoFile')
    : at
      ? say('plan.saved', { at: whenWords(at) })
      : say('plan.nothingSave')
  return (
    <Section
      title={say('common.planFile')}
      summary={isUnsaved.value ? say('plan.notSaved') : at ? name : undefined}
    >
      <p class="section-note">{say('plan.launchPointRouteLanding')}</p>
      <p class="plan-state">
        <strong>{name}</strong>, {state}
      </p>
      <div class="row">
        <button type="button" onClick={() => void savePlan()}>
          {say('plan.savePlan')}
        </button>
        <button type="button" onClick={() => void choosePlan()}>
          {say('plan.openPlan')}
        </button>
      </div>
      <Steps />
      <RecentPlans />
    </Section>
  )
}

/** Steps listed; older ones are reached by Undo. */
const MOST_STEPS = 40

/** All that was done since the plan began, to go back and on in. */
function Steps() {
  const { values, at } = setupHistory.steps.value
  if (values.length === 1) return null
  const first = Math.max(0, Math.min(at, values.length - MOST_STEPS))
  return (
    <details>
      <summary>{say('plan.steps', { values: values.length - 1 })}</summary>
      <ol class="steps">
        {values.slice(first).map((value, i) => {
          const index = first + i
          const label = index === 0 ? say('plan.beginning') : stepName(values[index - 1], value)
          return (
            <li key={index}>
              <button
                type="button"
                class="plain"
                aria-current={index === at ? 'step' : undefined}
                onClick={() => setupHistory.goTo(index)}
              >
                {label}
              </button>
            </li>
          )
        })}
      </ol>
    </details>
  )
}

function RecentPlans() {
  if (recentPlans.value.length === 0) return null
  return (
    <details>
      <summary>{say('plan.recentPlans', { recentPlans: recentPlans.value.length })}</summary>
      <ul class="recent">
        {recentPlans.value.map((plan) => (
          <li key={plan.at}>
            <button
              type="button"
              class="plain"
              onClick={() => void openPlan(plan, plan.isSaved)}
              aria-label={say('plan.open', { name: plan.name, at: whenWords(plan.at) })}
            >
              {plan.name}
            </button>
            <span class="recent-when">
              {whenWords(plan.at)}
              {!plan.isSaved && say('plan.noFile')}
            </span>
          </li>
        ))}
      </ul>
    </details>
  )
}
