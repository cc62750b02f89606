import { computed } from '@preact/signals'
import type { LatLon } from '../../core/geodesy/earth'
import { NO_WAY } from '../../core/log/predicted'
import { DIFFERENCES, differenceClass, WAY_STYLES } from '../../core/words/flownWords'
import type { Stretch } from '../map/flownLayer'
import { comparisonAtHand, loggedLink, shownMoment, trackShows } from './flown'
import { setup } from './setup'

const UNKNOWN = { colour: '#8a8f99', dash: '1 5' }
/** More points than this no screen shows. */
const MOST_POINTS = 4000

/** The track in stretches of one kind each. */
export const flownStretches = computed((): readonly Stretch[] => {
  const found = comparisonAtHand.value
  if (!found) return []
  const { log, predicted } = found
  const excessDb = setup.value[loggedLink.value].excessLossDb
  const styleAt = (i: number) => {
    if (trackShows.value === 'way') {
      return predicted.kind[i] === NO_WAY ? UNKNOWN : WAY_STYLES[predicted.kind[i]]
    }
    const at = differenceClass(log.signalDbm[i] - (predicted.levelDbm[i] - excessDb))
    return at < 0 ? UNKNOWN : DIFFERENCES[at]
  }
  const stride = Math.max(1, Math.ceil(log.timeS.length / MOST_POINTS))
  const stretches: { line: LatLon[]; colour: string; dash: string }[] = []
  for (let i = 0; i < log.timeS.length; i += stride) {
    const { colour, dash } = styleAt(i)
    const at = { latDeg: log.latDeg[i], lonDeg: log.lonDeg[i] }
    const last = stretches.at(-1)
    // A stretch ends where the next begins.
    last?.line.push(at)
    if (last?.colour !== colour) stretches.push({ line: [at], colour, dash })
  }
  return stretches.filter(({ line }) => line.length > 1)
})

/** Where the aircraft was at the moment looked at. */
export const flownPlace = computed((): LatLon | null => {
  const [found, moment] = [comparisonAtHand.value, shownMoment.value]
  if (!found || moment === null || moment >= found.log.timeS.length) return null
  const { latDeg, lonDeg } = found.log
  return { latDeg: latDeg[moment], lonDeg: lonDeg[moment] }
})
