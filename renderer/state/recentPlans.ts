import { signal } from '@preact/signals'
import { z } from 'zod'
import { keep } from './kept'
import { isUnsaved, planText, saved } from './planText'

/** A plan that was at hand before. The whole of it is kept: a file may be moved or lost. */
export interface RecentPlan {
  readonly name: string
  /** When it was last at hand, ISO 8601. */
  readonly at: string
  /** False for one that went out of hand with changes in no file. */
  readonly isSaved: boolean
  readonly text: string
}

const MOST = 15
const MOST_CHARACTERS = 8_000_000

export const recentPlans = signal<readonly RecentPlan[]>([])
const schema = z.array(
  z.object({ name: z.string(), at: z.string(), isSaved: z.boolean(), text: z.string() }),
)
/** Waits until the recent plans are written as they are; throws where they could not be. */
export const recentPlansKept = keep('recent-plans', recentPlans, (json) => schema.parse(json))

/** Puts a plan at the top; the same plan further down goes. */
export function remember(name: string, text: string, isSaved: boolean, at = new Date()): void {
  const others = recentPlans.value.filter(
    (other) => other.text !== text && !(isSaved && other.isSaved && other.name === name),
  )
  const all = [{ name, at: at.toISOString(), isSaved, text }, ...others].slice(0, MOST)
  let left = MOST_CHARACTERS
  recentPlans.value = all.filter((plan, i) => (left -= plan.text.length) >= 0 || i === 0)
}

/** Keeps the plan at hand among the recent ones, where leaving it would lose something. */
export function keepAside(): void {
  if (isUnsaved.peek() && saved.peek()) remember(saved.peek()!.name, planText.peek(), false)
}
