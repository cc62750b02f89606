import { whenWords } from '../../core/words/moment'
import { choosePlan, openPlan, savePlan } from '../state/planFile'
import { isUnsaved, saved } from '../state/planText'
import { recentPlans } from '../state/recentPlans'
import { setupHistory } from '../state/setup'
import { stepName } from '../state/stepNames'
import { Section } from './Section'

/** The plan as a file: what the pilot set up, not what follows from it. */
export function PlanSection() {
  const { name = '', at = null } = saved.value ?? {}
  const state = isUnsaved.value
    ? 'changes in no file'
    : at
      ? `saved ${whenWords(at)}`
      : 'nothing to save'
  return (
    <Section title="Plan file" summary={isUnsaved.value ? 'not saved' : at ? name : undefined}>
      <p class="section-note">
        Launch point, route, landing areas, obstacles and settings as GeoJSON, for another day and
        for the command line, with a note of the terrain. Every change is also kept by itself and
        offered again should Colsight end without warning.
      </p>
      <p class="plan-state">
        <strong>{name}</strong>, {state}
      </p>
      <div class="row">
        <button type="button" onClick={() => void savePlan()}>
          Save plan…
        </button>
        <button type="button" onClick={() => void choosePlan()}>
          Open plan…
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
      <summary>Steps ({values.length - 1})</summary>
      <ol class="steps">
        {values.slice(first).map((value, i) => {
          const index = first + i
          const label = index === 0 ? 'beginning' : stepName(values[index - 1], value)
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
      <summary>Recent plans ({recentPlans.value.length})</summary>
      <ul class="recent">
        {recentPlans.value.map((plan) => (
          <li key={plan.at}>
            <button
              type="button"
              class="plain"
              onClick={() => void openPlan(plan, plan.isSaved)}
              aria-label={`Open ${plan.name} of ${whenWords(plan.at)}`}
            >
              {plan.name}
            </button>
            <span class="recent-when">
              {whenWords(plan.at)}
              {!plan.isSaved && ', in no file'}
            </span>
          </li>
        ))}
      </ul>
    </details>
  )
}
