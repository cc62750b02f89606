import type { ComponentChildren } from 'preact'
import { formatCoordinates } from '../geodesy/coordinates'
import type { LatLon } from '../geodesy/earth'
import type { FieldBrief } from './fieldBrief'
import type { BriefWords } from './words'

/** What every part of a brief is given. */
export interface PartProps {
  readonly brief: FieldBrief
  readonly words: BriefWords
}

/** A part under its heading. */
export function Section({
  title,
  class: name = '',
  children,
}: {
  title: string
  class?: string
  children: ComponentChildren
}) {
  return (
    <section class={name}>
      <h2>{title}</h2>
      {children}
    </section>
  )
}

/** A position, which a phone opens on its map. */
export function Spot({ at, words }: { at: LatLon; words: BriefWords }) {
  return (
    <a class="spot" href={`geo:${at.latDeg.toFixed(6)},${at.lonDeg.toFixed(6)}`}>
      {formatCoordinates(at, words.coordinateStyle)}
    </a>
  )
}
