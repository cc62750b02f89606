import { useSignal } from '@preact/signals'
import { parseCoordinates } from '../../core/geodesy/coordinates'
import type { LatLon } from '../../core/geodesy/earth'
import { waypointName } from '../../core/route/route'
import { setup } from '../state/setup'
import { shownPlaces } from '../state/keptPlaces'
import { say } from '../../core/words/say'
import { moveTarget } from '../state/site'

/** Everything on the site that has a name. */
function namedPlaces(): { name: string; at: LatLon }[] {
  const { route, landing, launch } = setup.value
  return [
    { name: say('common.launchPoint'), at: launch },
    ...shownPlaces.value.map((place) => ({ name: place.name, at: place })),
    ...route.waypoints.map((at, i) => ({ name: waypointName(route, i), at })),
    ...landing.accepted.map(({ name, at }) => ({ name, at })),
  ]
}

/** Sets the target at a position in any style, or at a place by its name. */
export function PlaceSearch() {
  const text = useSignal('')
  const problem = useSignal<string | null>(null)
  const go = () => {
    const wanted = text.value.trim().toLowerCase()
    if (wanted === '') return
    const named = namedPlaces()
    const place =
      named.find(({ name }) => name.toLowerCase() === wanted) ??
      named.find(({ name }) => name.toLowerCase().includes(wanted))
    const at = parseCoordinates(text.value, setup.value.launch) ?? place?.at
    if (!at) {
      problem.value = say('placeSearch.neitherPositionNorName')
      return
    }
    problem.value = null
    if (moveTarget({ latDeg: at.latDeg, lonDeg: at.lonDeg })) text.value = ''
  }
  return (
    <form
      class="place-search"
      role="search"
      onSubmit={(event) => {
        event.preventDefault()
        go()
      }}
    >
      <input
        type="text"
        list="places-by-name"
        aria-label={say('placeSearch.targetPositionName')}
        placeholder={say('placeSearch.placeholder')}
        autoComplete="off"
        spellcheck={false}
        aria-invalid={problem.value !== null}
        aria-describedby={problem.value ? 'place-search-problem' : undefined}
        value={text.value}
        onInput={(event) => {
          text.value = event.currentTarget.value
          problem.value = null
        }}
      />
      <datalist id="places-by-name">
        {namedPlaces().map(({ name }, i) => (
          <option key={i} value={name} />
        ))}
      </datalist>
      <button type="submit">{say('placeSearch.go')}</button>
      {problem.value && (
        <p class="field-problem" id="place-search-problem" role="alert">
          {problem.value}
        </p>
      )}
    </form>
  )
}
