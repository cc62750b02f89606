import L from 'leaflet'
import type { LatLon } from '../../core/geodesy/earth'
import { DeclutteredLayer } from './declutteredLayer'
import { onMap } from './placement'

/** A col with what is said beside it: null for one that cannot be crossed, which is quiet. */
export interface ColMark extends LatLon {
  readonly label: string | null
  readonly title: string
}

/** Room of a label, pixels. */
const LABEL = { width: 64, height: 17 }

/** Cols, those said first keeping their labels where two would touch. */
export class ColLayer extends DeclutteredLayer {
  private markers: L.Marker[] = []

  show(cols: readonly ColMark[], choose: (index: number) => void): void {
    this.clearLayers()
    this.markers = cols.map(({ label, title, ...at }, i) => {
      const isQuiet = label === null
      const text = document.createElement('span')
      text.textContent = label
      text.hidden = isQuiet
      const className = isQuiet ? 'col-mark col-quiet' : 'col-mark'
      const icon = L.divIcon({ className, iconSize: [16, 12], html: text })
      const zIndexOffset = isQuiet ? 300 : 400
      const marker = L.marker(onMap(at), { icon, keyboard: false, title, zIndexOffset })
      marker.on('click', (event) => {
        L.DomEvent.stop(event)
        choose(i)
      })
      this.addLayer(marker)
      return marker
    })
    this.declutter()
  }

  protected override declutter(): void {
    const taken: L.Point[] = []
    for (const marker of this.markers) {
      const element = marker.getElement()
      const label = element?.querySelector('span')
      if (!element || !label?.textContent) continue
      const at = L.DomUtil.getPosition(element)
      const isFree = taken.every(
        (other) =>
          Math.abs(other.x - at.x) > LABEL.width || Math.abs(other.y - at.y) > LABEL.height,
      )
      label.hidden = !isFree
      if (isFree) taken.push(at)
    }
  }
}
