import { computed, signal } from '@preact/signals'
import { z } from 'zod'
import { directionTables, type DirectionTables } from '../../core/radio/margin'
import { readLink, writeLink, type Link } from '../../core/radio/link'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { keepList } from './kept'
import { say } from '../../core/words/say'
import { changeSetup, setup } from './setup'

export type LinkName = 'video' | 'control'
export const LINK_NAMES: readonly LinkName[] = ['video', 'control']

/** Which link the map and the readings are about; the weaker of both for the third. */
export const shownLink = signal<LinkName | 'weaker'>('video')
/** How the map shows it. */
export const marginStyle = signal<'classes' | 'scale' | 'antenna'>('classes')

/** Takes a changed link. The fields are computed for the video link's frequency. */
export function changeLink(name: LinkName, part: Partial<Link>, gesture: string | null = null) {
  const link = { ...setup.value[name], ...part }
  const { radio } = setup.value
  const isTuned = name === 'video' && link.frequencyMhz !== radio.frequencyMhz
  changeSetup(
    {
      [name]: link,
      ...(isTuned ? { radio: { ...radio, frequencyMhz: link.frequencyMhz } } : {}),
    },
    gesture,
  )
}

const video = computed(() => setup.value.video)
const control = computed(() => setup.value.control)

/** What both links have toward each direction. */
export const linkTables = {
  video: computed(() => tablesOf(video.value)),
  control: computed(() => tablesOf(control.value)),
}

/** Of a link only what its class is told from, lest every edit of a plan counts and paints again. */
export const fadeMargins = {
  video: computed(() => video.value.fadeMarginDb),
  control: computed(() => control.value.fadeMarginDb),
}

/** Tables asked for last, by the link as it is written: an undo asks for them again. */
const lately = new Map<string, DirectionTables>()
/** Three of each link. */
const MOST_KEPT = 6

function tablesOf(link: Link): DirectionTables {
  const key = JSON.stringify(link)
  const tables = lately.get(key) ?? directionTables(link)
  lately.delete(key)
  lately.set(key, tables)
  for (const oldest of lately.keys()) if (lately.size > MOST_KEPT) lately.delete(oldest)
  return tables
}

/** The pilot's own links, by the names they gave them. */
export const ownLinks = signal<readonly Link[]>([])
keepList(
  'links',
  ownLinks,
  (text) => readLink(z.string().parse(text), say('links.keptLink')),
  writeLink,
)

/** Keeps a link under its name; one of the same name makes way. */
export function keepLink(link: Link): void {
  ownLinks.value = [...ownLinks.value.filter((other) => !isSameLink(other, link)), link]
}

export function forgetLink(link: Link): void {
  ownLinks.value = ownLinks.value.filter((other) => !isSameLink(other, link))
}

/** True for links kept under one name for one direction. */
export function isSameLink(a: Link, b: Link): boolean {
  return a.name === b.name && a.direction === b.direction
}

/** Links to choose from for one of the two. */
export function presetsFor(name: LinkName): readonly Link[] {
  const direction = name === 'video' ? 'down' : 'up'
  const typical = name === 'video' ? VIDEO_PRESETS : CONTROL_PRESETS
  return [...typical, ...ownLinks.value.filter((link) => link.direction === direction)]
}
