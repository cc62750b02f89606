import { signal } from '@preact/signals'
import { z } from 'zod'
import { withinRoom, type RecentPlan } from '../../core/plan/recent'
import { host } from '../host/host'
import { keep } from './kept'
import { isUnsaved, planText, saved } from './planText'

export const recentPlans = signal<readonly RecentPlan[]>([])
const schema = z.array(
  z.object({ name: z.string(), at: z.string(), isSaved: z.boolean(), text: z.string() }),
)
/** Waits until the recent plans are written as they are; throws where they could not be. */
export const recentPlansKept = keep('recent-plans', recentPlans, (json) => schema.parse(json))

/**
 * Puts a plan at the top; the same plan further down goes. Where there are too many, the oldest go
 * that a file holds; a browser never says whether it kept the file.
 */
export function remember(name: string, text: string, isSaved: boolean, at = new Date()): void {
  const isNewer = (other: RecentPlan) =>
    host.kind === 'desktop' && isSaved && other.isSaved && other.name === name
  const others = recentPlans.value.filter((other) => other.text !== text && !isNewer(other))
  recentPlans.value = withinRoom([{ name, at: at.toISOString(), isSaved, text }, ...others])
}

/** Keeps the plan at hand among the recent ones, where leaving it would lose something. */
export function keepAside(): void {
  if (isUnsaved.peek() && saved.peek()) remember(saved.peek()!.name, planText.peek(), false)
}
