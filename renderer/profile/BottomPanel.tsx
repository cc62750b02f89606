import { computed, effect, signal } from '@preact/signals'
import { hasRoute } from '../state/route'
import { setup } from '../state/setup'
import { ProfilePanel } from './ProfilePanel'
import { RoutePanel } from './RoutePanel'

type View = 'target' | 'route'
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
isFirst = false

/** Below the map: the path to the target, or the route. */
export function BottomPanel() {
  const hasBoth = hasRoute.value && target.value !== null
  const shown: View = hasBoth ? chosen.value : hasRoute.value ? 'route' : 'target'
  return (
    <div class="bottom">
      {hasBoth && (
        <div class="switch panel-switch" role="group" aria-label="Below the map">
          {(['target', 'route'] as const).map((view) => (
            <button
              type="button"
              key={view}
              aria-pressed={shown === view}
              onClick={() => (chosen.value = view)}
            >
              {view === 'target' ? 'To the target' : 'Along the route'}
            </button>
          ))}
        </div>
      )}
      {shown === 'route' ? <RoutePanel /> : <ProfilePanel />}
    </div>
  )
}
