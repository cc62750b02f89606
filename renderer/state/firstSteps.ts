import { computed, effect, signal } from '@preact/signals'
import { openBrief } from './brief'
import { keep } from './kept'
import { saved } from './planText'
import type { TextKey } from '../../core/words/say'
import { setup, setupHistory } from './setup'

/** A step of the whole job, done once on the demo site. */
export interface FirstStep {
  readonly id: string
  readonly title: TextKey
  /** What to do, in a sentence or two. */
  readonly words: TextKey
  /** Section of the panel where it is done. */
  readonly section: TextKey
  /** What it is about: another once the step is done again. */
  readonly what: () => unknown
  readonly isDone: () => boolean
}

/** The setup that the site began with. */
const beginning = computed(() => setupHistory.steps.value.values[0])

export const FIRST_STEPS: readonly FirstStep[] = [
  {
    id: 'stand',
    title: 'firstSteps.chooseWhereStand',
    words: 'firstSteps.dragRedMarkerMap',
    section: 'common.launchPoint',
    what: () => setup.value.launch,
    isDone: () => setup.value.launch !== beginning.value.launch,
  },
  {
    id: 'height',
    title: 'firstSteps.chooseHowHighFly',
    words: 'firstSteps.moveSliderHigherMore',
    section: 'common.flyingHeight',
    what: () => setup.value.flyingHeightM,
    isDone: () => setup.value.flyingHeightM !== beginning.value.flyingHeightM,
  },
  {
    id: 'look',
    title: 'firstSteps.lookAlongPathPlace',
    words: 'firstSteps.clickMapBelowAppear',
    section: 'common.target',
    what: () => setup.value.target,
    isDone: () => setup.value.target !== null,
  },
  {
    id: 'route',
    title: 'firstSteps.drawRoute',
    words: 'firstSteps.pressDrawMapClick',
    section: 'common.route',
    what: () => setup.value.route.waypoints,
    isDone: () => setup.value.route.waypoints.length > 0,
  },
  {
    id: 'home',
    title: 'firstSteps.bringHome',
    words: 'firstSteps.pressOutBackLoop',
    section: 'common.route',
    what: () => setup.value.route,
    isDone: () => setup.value.route.endsAtLaunch,
  },
  {
    id: 'land',
    title: 'firstSteps.chooseWherePutDown',
    words: 'firstSteps.pressFindLandingAreas',
    section: 'common.landingAreas',
    what: () => setup.value.landing.accepted,
    isDone: () => setup.value.landing.accepted.length > 0,
  },
  {
    id: 'brief',
    title: 'firstSteps.makeFieldBrief',
    words: 'firstSteps.allPaperPhoneChecklist',
    section: 'common.fieldBrief',
    what: () => openBrief.value?.html ?? null,
    isDone: () => (openBrief.value?.html ?? null) !== null,
  },
  {
    id: 'save',
    title: 'firstSteps.savePlan',
    words: 'firstSteps.fileAnotherDayAfter',
    section: 'common.planFile',
    what: () => saved.value?.at ?? null,
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

/** What the steps were about when the list was begun again: they tick once it is another. */
let before: ReadonlyMap<string, unknown> = new Map()

effect(() => {
  const { done, isAway } = firstSteps.value
  if (isAway) return
  const isDoneAnew = ({ id, what, isDone }: FirstStep) =>
    isDone() && !(before.has(id) && before.get(id) === what())
  const now = FIRST_STEPS.filter((step) => done.includes(step.id) || isDoneAnew(step))
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
  before = new Map(FIRST_STEPS.map(({ id, what }) => [id, what()]))
  firstSteps.value = { done: [], isAway: false }
}

/** Section of the panel to be opened and brought into view; a new object each time. */
export const askedSection = signal<{ readonly title: string } | null>(null)
