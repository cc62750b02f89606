import { computed, effect, signal } from '@preact/signals'
import { HeightScale } from '../../core/picture/heightScale'
import type { Isoline } from '../../core/picture/isolines'
import { coverage, type Coverage } from './coverage'
import { preferences } from './preferences'
import { fieldThread } from './sweeping'
import { HEIGHT_UNIT } from '../../core/words/units'

/** What the map is shaded with: the answers at the flying height, a clear-height field, or the signal. */
export type Layer = 'answers' | 'sight' | 'fresnel' | 'signal'
export const shownLayer = signal<Layer>('answers')

export const heightScale = computed(
  () => new HeightScale(HEIGHT_UNIT[preferences.value.units].metres),
)

/** The field that a layer shows, of a coverage. */
export function fieldOf(layer: 'sight' | 'fresnel', { sightM, fresnelM }: Coverage): Float32Array {
  return layer === 'sight' ? sightM : fresnelM
}

/** Isolines of the field shown; none while the launch point is dragged. */
export const shownIsolines = signal<readonly Isoline[]>([])

effect(() => {
  const [layer, shown, scale] = [shownLayer.value, coverage.value, heightScale.value]
  shownIsolines.value = []
  if (layer === 'answers' || layer === 'signal' || !shown || shown.isPreview) return
  void fieldThread.isolines(fieldOf(layer, shown), shown.frame, scale.isolinesM).then((lines) => {
    const isNewest =
      shownLayer.peek() === layer && coverage.peek() === shown && heightScale.peek() === scale
    if (isNewest) shownIsolines.value = lines
  })
})
