import { computed, effect, signal } from '@preact/signals'
import { flown } from '../state/flown'
import { hasRoute } from '../state/route'
import { setup } from '../state/setup'
import { FlownPanel } from './FlownPanel'
import { ProfilePanel } from './ProfilePanel'
import { say, type TextKey } from '../../core/words/say'
import { RoutePanel } from './RoutePanel'

type View = 'target' | 'route' | 'flown'
const NAMES: Readonly<Record<View, TextKey>> = {
  target: 'bottom.target',
  route: 'common.alongRoute',
  flown: 'bottom.flown',
}
const PANELS = { target: ProfilePanel, route: RoutePanel, flown: FlownPanel }
const chosen = signal<View>('target')

const target = computed(() => setup.value.target)
let isFirst = true
effect(() => {
  // What was asked for last is shown.
  void target.value
  if (!isFirst) chosen.value = 'target'
})
effect(() => {
  if (hasRoute.value) chosen.value = 'route'
})
effect(() => {
  if (flown.value) chosen.value = 'flown'
})
isFirst = false

/** Below the map: the path to the target, the route, or a flight. */
export function BottomPanel() {
  const has: Readonly<Record<View, boolean>> = {
    target: target.value !== null,
    route: hasRoute.value,
    flown: flown.value !== null,
  }
  const views = (['target', 'route', 'flown'] as const).filter((view) => has[view])
  const shown = views.includes(chosen.value) ? chosen.value : (views.at(-1) ?? 'target')
  const Panel = PANELS[shown]
  return (
    <div class="bottom">
      {views.length > 1 && (
        <div class="switch panel-switch" role="group" aria-label={say('bottom.belowMap')}>
          {views.map((view) => (
            <button
              type="button"
              key={view}
              aria-pressed={shown === view}
              onClick={() => (chosen.value = view)}
            >
              {say(NAMES[view])}
            </button>
          ))}
        </div>
      )}
      <Panel />
    </div>
  )
}
