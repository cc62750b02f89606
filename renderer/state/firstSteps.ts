import { computed, effect, signal } from '@preact/signals'
import { openBrief } from './brief'
import { keep } from './kept'
import { saved } from './planText'
import { setup, setupHistory } from './setup'

/** A step of the whole job, done once on the demo site. */
export interface FirstStep {
  readonly id: string
  readonly title: string
  /** What to do, in a sentence or two. */
  readonly words: string
  /** Section of the panel where it is done. */
  readonly section: string
  readonly isDone: () => boolean
}

/** The setup that the site began with. */
const beginning = computed(() => setupHistory.steps.value.values[0])

export const FIRST_STEPS: readonly FirstStep[] = [
  {
    id: 'stand',
    title: 'Choose where to stand',
    words:
      'Drag the red marker on the map, or type its latitude and longitude. Light ground is where you would have the picture, dark ground is hidden.',
    section: 'Launch point',
    isDone: () => setup.value.launch !== beginning.value.launch,
  },
  {
    id: 'height',
    title: 'Choose how high to fly',
    words: 'Move the slider: the higher, the more is in sight. Local law has a ceiling.',
    section: 'Flying height',
    isDone: () => setup.value.flyingHeightM !== beginning.value.flyingHeightM,
  },
  {
    id: 'look',
    title: 'Look along the path to a place',
    words:
      'Click the map: below it appear the ground, the ray and the Fresnel zone, and what the links have left there.',
    section: 'Target',
    isDone: () => setup.value.target !== null,
  },
  {
    id: 'route',
    title: 'Draw a route',
    words:
      'Press Draw on the map, click some waypoints and press Done. Below, the corridor between link floor and ceiling appears.',
    section: 'Route',
    isDone: () => setup.value.route.waypoints.length > 0,
  },
  {
    id: 'home',
    title: 'Bring it home',
    words:
      'Press Out and back or Loop. Beside the corridor, Battery says what is left at home and where to turn at the latest.',
    section: 'Route',
    isDone: () => setup.value.route.endsAtLaunch,
  },
  {
    id: 'land',
    title: 'Choose where to put it down',
    words:
      'Press Find landing areas, look at some and take one into the plan: flat, with a picture down to it, and within a walk.',
    section: 'Landing areas',
    isDone: () => setup.value.landing.accepted.length > 0,
  },
  {
    id: 'brief',
    title: 'Make the field brief',
    words: 'All of it on paper or on the phone, with a checklist.',
    section: 'Field brief',
    isDone: () => (openBrief.value?.html ?? null) !== null,
  },
  {
    id: 'save',
    title: 'Save the plan',
    words: 'As a file for another day. After the flight, bring in its log and compare.',
    section: 'Plan file',
    isDone: () => (saved.value?.at ?? null) !== null,
  },
]

/** Steps that were done once, and whether the list is put away. */
export const firstSteps = signal<{ readonly done: readonly string[]; readonly isAway: boolean }>({
  done: [],
  isAway: false,
})
keep('first-steps', firstSteps, (json) => {
  const { done, isAway } = json as { done?: unknown; isAway?: unknown }
  const known = FIRST_STEPS.map(({ id }) => id)
  return {
    done: Array.isArray(done) ? known.filter((id) => done.includes(id)) : [],
    isAway: isAway === true,
  }
})

effect(() => {
  const { done, isAway } = firstSteps.value
  if (isAway) return
  const now = FIRST_STEPS.filter(({ id, isDone }) => done.includes(id) || isDone())
  if (now.length > done.length) firstSteps.value = { isAway, done: now.map(({ id }) => id) }
})

/** The first that was not done yet; null once all were. */
export const nextStep = computed(
  () => FIRST_STEPS.find(({ id }) => !firstSteps.value.done.includes(id)) ?? null,
)

export function putAway(): void {
  firstSteps.value = { ...firstSteps.value, isAway: true }
}

export function beginAgain(): void {
  firstSteps.value = { done: [], isAway: false }
}

/** Section of the panel to be opened and brought into view; a new object each time. */
export const askedSection = signal<{ readonly title: string } | null>(null)
