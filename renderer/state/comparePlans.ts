import { computed, effect, signal } from '@preact/signals'
import { plainName } from '../../core/brief/words'
import type { TextFile } from '../../core/host'
import type { Plan } from '../../core/plan/plan'
import { readPlan } from '../../core/plan/planFile'
import type { PlanFigures } from '../../core/plan/planFigures'
import { host } from '../host/host'
import type { TerrainGrid } from '../../core/terrain/grid'
import type { CompareWorker } from '../workers/compare.worker'
import { saved } from './planText'
import { setup } from './setup'
import { surfaceModel } from './surface'
import { terrain } from './terrain'
import { lateThread } from './threads'
import { say } from '../../core/words/say'
import { notice, orSentence } from './work'

const thread = lateThread<CompareWorker>(
  () => new Worker(new URL('../workers/compare.worker.ts', import.meta.url), { type: 'module' }),
)

/** A plan beside the one at hand. */
export interface OtherPlan {
  readonly name: string
  readonly plan: Plan
}

/** More columns nobody compares. */
export const MOST_OTHERS = 4

export const otherPlans = signal<readonly OtherPlan[]>([])
/** True while the table is shown. */
export const isComparing = signal(false)

function add(other: OtherPlan): void {
  const names = new Set(otherPlans.peek().map(({ name }) => name))
  let [name, number] = [other.name, 2]
  while (names.has(name)) name = `${other.name} (${number++})`
  otherPlans.value = [...otherPlans.peek(), { ...other, name }].slice(-MOST_OTHERS)
}

/** Puts a plan of a file beside the one at hand. */
export function comparePlan({ text, name }: TextFile): void {
  const found = orSentence(() => readPlan(text, name).plan)
  notice.value = typeof found === 'string' ? found : null
  if (typeof found !== 'string') add({ name: plainName(name), plan: found })
}

export async function chooseOtherPlan(): Promise<void> {
  const file = await host.openText(say('common.plan'), ['geojson', 'json'])
  if (file) comparePlan(file)
}

/** Puts the plan as it is now beside itself, to be changed on. */
export function keepForComparison(): void {
  add({
    name: say('comparePlans.before', { name: plainName(saved.peek()?.name ?? say('common.plan')) }),
    plan: setup.peek(),
  })
}

export function dropOther(index: number): void {
  otherPlans.value = otherPlans.peek().toSpliced(index, 1)
}

/** The plan at hand and the others, in the order of the columns. */
const compared = computed((): readonly OtherPlan[] => [
  { name: plainName(saved.value?.name ?? say('common.plan')), plan: setup.value },
  ...otherPlans.value,
])

export interface Column {
  readonly name: string
  readonly plan: Plan
  /** A sentence where it has none here; null while they are worked out. */
  readonly figures: PlanFigures | string | null
}

const found = signal<ReadonlyMap<Plan, PlanFigures | string>>(new Map())

/** The columns of the table, the plan at hand first. */
export const columns = computed((): readonly Column[] =>
  compared.value.map(({ name, plan }) => ({
    name,
    plan,
    figures: found.value.get(plan) ?? null,
  })),
)

let serial = 0
/** Counts the grounds that figures are worked out on, and says which of them the thread has. */
let groundNumber = 0
let sentGround = 0

effect(() => {
  void [terrain.value, surfaceModel.value]
  groundNumber++
  // What was found is of other ground.
  found.value = new Map()
})

effect(() => {
  const plans = compared.value
  const grid = terrain.value
  void surfaceModel.value
  const number = ++serial
  if (!isComparing.value || !grid) return
  void workOut(
    grid,
    plans.map(({ plan }) => plan),
    number,
  )
})

async function workOut(grid: TerrainGrid, plans: readonly Plan[], number: number): Promise<void> {
  const ground = groundNumber
  if (sentGround !== ground) {
    sentGround = ground
    void thread().setGround(grid, surfaceModel.peek()?.heights ?? null)
  }
  for (const plan of plans) {
    if (found.peek().has(plan)) continue
    const figures = await thread().figures(plan)
    // A newer run goes on with newer plans, or on other ground.
    if (number !== serial || ground !== groundNumber) return
    const kept = plans.flatMap((one) => {
      const its = found.peek().get(one)
      return its === undefined ? [] : [[one, its] as const]
    })
    found.value = new Map([...kept, [plan, figures]])
  }
}
