import { computed, effect, signal } from '@preact/signals'
import { DRAWN_AREA } from '../../core/landing/basins'
import type { ValleyOnMap } from '../workers/landing.worker'
import { coverage } from './coverage'
import { found, isSearching, landingThread, useSite } from './landing'
import { setup } from './setup'
import { surface } from './surface'
import { terrain } from './terrain'

/** True while the map shows valleys. */
export const areValleysShown = signal(false)
/** Ground that a stream drains where its valley begins, square metres. */
export const valleyM2 = signal(3e6)
/** The valleys shown, the most forgiving first. */
export const valleys = signal<readonly ValleyOnMap[]>([])
/** Number of the valley looked at. */
export const chosenValley = signal<number | null>(null)

export function showValleys(areShown: boolean): void {
  areValleysShown.value = areShown
  // Landing areas are counted by valley.
  if (areShown) isSearching.value = true
  else chosenValley.value = null
}

const flyingHeight = computed(() => setup.value.flyingHeightM)
const reading = computed(() => setup.value.reading)
/** The area that is read counts as a valley of its own. */
const drawn = computed(() => (reading.value?.type === 'Polygon' ? reading.value : null))
/** A moving slider is not followed at every step, milliseconds. */
const REST_MS = 150
let serial = 0
let timer: ReturnType<typeof setTimeout> | undefined

effect(() => {
  const [fields, heightM, streamM2] = [coverage.value, flyingHeight.value, valleyM2.value]
  // Landing areas are counted where some are found.
  void found.value
  const site = terrain.value && surface.value && { grid: terrain.value, stands: surface.value }
  const area = drawn.value
  clearTimeout(timer)
  const own = ++serial
  if (!areValleysShown.value || !fields || fields.isPreview) {
    if (!areValleysShown.value) valleys.value = []
    return
  }
  const { sightM, fresnelM, edge } = fields
  timer = setTimeout(() => {
    if (site) useSite(site)
    const its = { sightM, fresnelM, edge }
    void landingThread()
      .valleys(its, heightM, streamM2, area)
      .then((read) => {
        // The area drawn first, then the most forgiving.
        const sum = ({ label, inPicture, toGround }: ValleyOnMap) =>
          label === DRAWN_AREA ? Infinity : inPicture + toGround
        if (own === serial) valleys.value = [...read].sort((a, b) => sum(b) - sum(a))
      })
  }, REST_MS)
})
