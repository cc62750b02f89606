import { computed, signal } from '@preact/signals'
import type { TerrainReference } from '../../core/plan/plan'
import { writePlan } from '../../core/plan/planFile'
import { setup } from './setup'
import { origin, terrainFiles } from './terrain'

const NEW_NAME = 'plan.geojson'

/** The plan as it was last saved or opened. */
interface Saved {
  readonly name: string
  readonly text: string
  /** When, for people; null for a plan that has no file yet. */
  readonly at: string | null
}

/** The terrain at hand as a plan refers to it. */
export const terrainReference = computed((): TerrainReference | null => {
  const from = origin.value
  if (!from) return null
  const { window, cellM } = from.wish
  const { fillUpToCells, request } = from
  return { files: terrainFiles.value, window, cellM, fillUpToCells, assume: request.assume }
})

/** The plan at hand as its file would be. */
export const planText = computed(() =>
  writePlan({ plan: setup.value, terrain: terrainReference.value }),
)

export const saved = signal<Saved | null>(null)

/** True while the plan has changes that are in no file. */
export const isUnsaved = computed(() => saved.value !== null && planText.value !== saved.value.text)

/** Takes the plan as it is for one just begun: there is nothing to save yet. */
export function takeAsNew(): void {
  saved.value = { name: NEW_NAME, text: planText.peek(), at: null }
}

/** Takes a text for what the plan's file holds. */
export function takeAsSaved(name: string, text: string): void {
  saved.value = { name, text, at: new Date().toISOString() }
}

/** Takes the plan as it is for one that is in no file, whatever happens next. */
export function takeAsUnsaved(name: string): void {
  saved.value = { name, text: '', at: null }
}
