import L from 'leaflet'
import type { LatLon } from '../../core/geodesy/earth'
import { say } from '../../core/words/say'
import { onMap } from './placement'

/** A route of another plan. */
export interface Ghost {
  readonly name: string
  readonly line: readonly LatLon[]
}

/** Colours and dashes of the plans beside the one at hand; the style sheet has the same. */
const STYLES: readonly L.PolylineOptions[] = [
  { color: '#7b2d8e', dashArray: '10 5' },
  { color: '#0f6b5c', dashArray: '3 5' },
  { color: '#a3440c', dashArray: '14 4 2 4' },
  { color: '#2b4c9b', dashArray: '6 3 1 3' },
]
const CASING: L.PolylineOptions = { color: '#fff', weight: 5.5, opacity: 0.75, interactive: false }

/** Routes of other plans under the one at hand. */
export class GhostLayer extends L.LayerGroup {
  show(ghosts: readonly Ghost[]): void {
    this.clearLayers()
    ghosts.forEach(({ name, line }, i) => {
      const places = line.map(onMap)
      this.addLayer(L.polyline(places, CASING))
      const route = L.polyline(places, { ...STYLES[i % STYLES.length], weight: 2.6 })
      this.addLayer(route.bindTooltip(name, { sticky: true }))
      const [launch] = places
      this.addLayer(
        L.circleMarker(launch, { ...STYLES[i % STYLES.length], dashArray: '', radius: 6, weight: 2.6, fillColor: '#fff', fillOpacity: 0.9 }).bindTooltip(say('ghostLayer.launchPoint', { name })), // prettier-ignore
      )
    })
  }
}
