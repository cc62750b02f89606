import type { KeptKind, KeptPlace } from '../../core/plan/keptPlace'
import { dropPlace, renamePlace } from '../state/keptPlaces'
import { say } from '../../core/words/say'
import { setup } from '../state/setup'

interface KeptPlacesProps {
  readonly kind: KeptKind
  readonly label: string
  /** What can be done with a place, and what it is called. */
  readonly act: (place: KeptPlace) => void
  readonly actName: string
}

/** Places of one kind that the plan keeps. */
export function KeptPlaces({ kind, label, act, actName }: KeptPlacesProps) {
  const all = setup.value.places.filter((place) => place.kind === kind)
  if (all.length === 0) return null
  return (
    <>
      <h3>{label}</h3>
      <ul class="kept-places" aria-label={label}>
        {all.map((place) => (
          <li key={place.name}>
            <input
              type="text"
              class="obstacle-name"
              aria-label={say('keptPlaces.name', { name: place.name })}
              value={place.name}
              onChange={({ currentTarget }) => renamePlace(place, currentTarget.value.trim())}
            />
            <button
              type="button"
              aria-label={`${actName}: ${place.name}`}
              onClick={() => act(place)}
            >
              {actName}
            </button>
            <button
              type="button"
              aria-label={say('common.removeNamed', { name: place.name })}
              title={say('common.remove')}
              onClick={() => dropPlace(place)}
            >
              ×
            </button>
          </li>
        ))}
      </ul>
    </>
  )
}
