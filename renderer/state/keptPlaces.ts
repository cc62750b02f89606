import { computed } from '@preact/signals'
import type { LatLon } from '../../core/geodesy/earth'
import type { KeptKind, KeptPlace } from '../../core/plan/keptPlace'
import { say, type TextKey } from '../../core/words/say'
import { changeSetup, setup } from './setup'
import { places } from './site'

const NAMES: Readonly<Record<KeptKind, TextKey>> = {
  col: 'common.col',
  'other launch point': 'common.launch',
}
/** A named place of the site this near lends its name, degrees. */
const SAME_DEG = 0.0008

/** Keeps a place in the plan, by the name of the site's place there if it has one. */
export function keepPlace(kind: KeptKind, { latDeg, lonDeg }: LatLon): void {
  const before = setup.peek().places
  const taken = new Set(before.map(({ name }) => name))
  const named = places
    .peek()
    .find(
      (place) =>
        Math.abs(place.latDeg - latDeg) < SAME_DEG && Math.abs(place.lonDeg - lonDeg) < SAME_DEG,
    )?.name
  const kindName = say(NAMES[kind])
  let number = 1
  while (taken.has(`${kindName} ${number}`)) number++
  const name = named && !taken.has(named) ? named : `${kindName} ${number}`
  changeSetup({ places: [...before, { kind, name, latDeg, lonDeg }] })
}

export function renamePlace(place: KeptPlace, name: string): void {
  if (name === '') return
  const { places: all } = setup.peek()
  changeSetup({ places: all.map((one) => (one === place ? { ...one, name } : one)) })
}

export function dropPlace(place: KeptPlace): void {
  changeSetup({ places: setup.peek().places.filter((one) => one !== place) })
}

const kept = computed(() => setup.value.places)

/** Places of the site and of the plan, for the map; the plan's own come first. */
export const shownPlaces = computed(() => {
  const names = new Set(kept.value.map(({ name }) => name))
  return [...kept.value, ...places.value.filter(({ name }) => !names.has(name))]
})
