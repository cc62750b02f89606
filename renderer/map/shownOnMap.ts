import { computed } from '@preact/signals'
import type { LatLon } from '../../core/geodesy/earth'
import { formatDuration, formatMah } from '../../core/words/routeWords'
import { formatClearHeight } from '../../core/words/units'
import { coverage } from '../state/coverage'
import { heat, isHeatShown } from '../state/launchSpots'
import { marginStyle } from '../state/links'
import { overSite, shownMargins } from '../state/margin'
import { preferences } from '../state/preferences'
import { readings } from '../state/reading'
import { flownLine, placeOfSample, turns } from '../state/route'
import { setup } from '../state/setup'
import { fieldOf, heightScale, shownLayer } from '../state/shown'
import { errorM } from '../state/terrain'
import type { Mark } from './routeLayer'
import { say } from '../../core/words/say'
import type { Shading } from './shadingLayer'

/** Of the setup only what the shading depends on, lest every edit of a route paints it again. */
const flyingHeight = computed(() => setup.value.flyingHeightM)

/** What the map is shaded with; null for nothing. */
export function shadingShown(): Shading | null {
  const [layer, fields] = [shownLayer.value, coverage.value]
  if (heat.value && isHeatShown.value) return { kind: 'heat', ...heat.value }
  if (layer === 'answers') {
    return { kind: 'answers', flyingHeightM: flyingHeight.value, errorM: errorM.value }
  }
  if (layer === 'signal') return signalShown()
  return fields && { kind: 'field', heightsM: fieldOf(layer, fields), scale: heightScale.value }
}

/** Where to turn at the latest, unless home is in reach from the whole route. */
export function turnMarks(): Mark[] {
  const [line, found] = [flownLine.value, turns.value]
  if (!line || !found) return []
  return (['retraced', 'straight'] as const).flatMap((way) => {
    const turn = found[way]
    const at = turn && !turn.isEnd ? placeOfSample(line, turn.sample) : null
    if (!turn || !at) return []
    const label =
      way === 'retraced' ? say('common.turnMarkWayBack') : say('common.turnMarkStraight')
    const title = say('shownOnMap.taken', {
      timeS: formatDuration(turn.timeS),
      takenMah: formatMah(turn.takenMah),
    })
    return [{ ...at, label, title, side: way === 'retraced' ? 'left' : 'right' }]
  })
}

/** The margins of the links shown, where they are computed. */
function signalShown(): Shading | null {
  const found = shownMargins.value
  if (!found) return null
  const { frame } = found.coverage
  return { kind: 'signal', frame, links: overSite(found), style: marginStyle.value }
}

/** Where the line or area that is read is lowest, by both fields. */
export function readingMarks(): (LatLon & { label: string })[] {
  const found = readings.value
  const { units } = preferences.value
  return [found?.sight.lowest, found?.fresnel.lowest].flatMap((lowest, i) =>
    lowest && found
      ? [
          {
            ...found.placeOf(lowest.cell),
            label: `${formatClearHeight(lowest.heightM, units)} ${i === 0 ? say('common.sight') : say('common.fresnel')}`,
          },
        ]
      : [],
  )
}
