import { signal } from '@preact/signals'
import type { TextKey } from '../../core/words/say'

/** What is to be read about one section of the panel. */
export interface HelpTopic {
  /** The title of the section. */
  readonly title: TextKey
  readonly text: TextKey
}

/** In the order of the panel, the keys last. */
export const HELP_TOPICS: readonly HelpTopic[] = [
  { title: 'common.flyingHeight', text: 'help.flyingHeight' },
  { title: 'common.launchPoint', text: 'help.launchPoint' },
  { title: 'common.target', text: 'help.target' },
  { title: 'common.route', text: 'help.route' },
  { title: 'cols.ridgeCrossings', text: 'help.cols' },
  { title: 'spots.launchSpots', text: 'help.spots' },
  { title: 'common.landingAreas', text: 'help.landing' },
  { title: 'valleys.safeValleys', text: 'help.valleys' },
  { title: 'common.aircraft', text: 'help.aircraft' },
  { title: 'common.battery', text: 'help.battery' },
  { title: 'common.wind', text: 'help.wind' },
  { title: 'surface.whatStandsGround', text: 'help.surface' },
  { title: 'reading.readLineArea', text: 'help.reading' },
  { title: 'places.namedPlaces', text: 'help.places' },
  { title: 'horizon.horizon', text: 'help.horizon' },
  { title: 'range.rangeSector', text: 'help.range' },
  { title: 'link.videoLinkDown', text: 'help.video' },
  { title: 'link.controlLinkUp', text: 'help.control' },
  { title: 'nearby.ownTransmitterBesideReceiver', text: 'help.nearby' },
  { title: 'radio.radioPath', text: 'help.radio' },
  { title: 'terrain.terrain', text: 'help.terrain' },
  { title: 'baseMap.baseMap', text: 'help.baseMap' },
  { title: 'save.saveResults', text: 'help.save' },
  { title: 'common.fieldBrief', text: 'help.brief' },
  { title: 'common.planFile', text: 'help.plan' },
  { title: 'compare.comparePlans', text: 'help.compare' },
  { title: 'handOver.handOver', text: 'help.handOver' },
  { title: 'flown.afterFlight', text: 'help.flown' },
  { title: 'program.thisProgram', text: 'help.program' },
  { title: 'help.keys', text: 'help.keysText' },
]

/** The title whose help is open, as it is spoken; '' for the beginning, null for none. */
export const helpAt = signal<string | null>(null)

/** True while the sheet about the program is open. */
export const aboutIsOpen = signal(false)

/** Opens help where the keyboard is: at the section around the focus, else at its beginning. */
export function openHelpHere(): void {
  const section = document.activeElement?.closest('.section')
  helpAt.value = section?.querySelector('h2')?.textContent ?? ''
}
