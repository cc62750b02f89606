/** A plan that was at hand before. The whole of it is kept: a file may be moved or lost. */
export interface RecentPlan {
  readonly name: string
  /** When it was last at hand, ISO 8601. */
  readonly at: string
  /** False for one that went out of hand with changes in no file. */
  readonly isSaved: boolean
  readonly text: string
}

/** Room for plans: so many that a file holds as well, and so many characters of all of them. */
const MOST_SAVED = 15
const MOST_CHARACTERS = 8_000_000

/**
 * Those that are kept of recent plans, newest first: what is in no file stays as long as there is
 * room at all, and the oldest go that a file holds.
 */
export function withinRoom(plans: readonly RecentPlan[]): RecentPlan[] {
  let [places, left] = [MOST_SAVED, MOST_CHARACTERS]
  const kept = new Set<RecentPlan>()
  const [unsaved, saved] = [plans.filter((one) => !one.isSaved), plans.filter((one) => one.isSaved)]
  for (const plan of [...plans.slice(0, 1), ...unsaved, ...saved]) {
    if (kept.has(plan)) continue
    if (kept.size > 0 && (plan.text.length > left || (plan.isSaved && places <= 0))) continue
    kept.add(plan)
    left -= plan.text.length
    if (plan.isSaved) places--
  }
  return plans.filter((plan) => kept.has(plan))
}
