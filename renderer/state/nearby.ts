import { computed } from '@preact/signals'
import { judgeNearby } from '../../core/radio/ownTransmitter'
import { setup } from './setup'

/** What the control transmitter does to the video receiver beside it. */
export const nearbyVerdict = computed(() => {
  const { nearby, video, control } = setup.value
  return judgeNearby({
    ...nearby,
    transmitterMhz: control.frequencyMhz,
    transmitterDbm: control.powerDbm,
    receiverMhz: video.frequencyMhz,
  })
})
