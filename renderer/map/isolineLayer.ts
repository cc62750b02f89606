import L from 'leaflet'
import type { Isoline } from '../../core/picture/isolines'
import { DeclutteredLayer } from './declutteredLayer'
import { onMap } from './placement'

/** Lines with fewer points carry no label. */
const FEWEST_LABELLED_POINTS = 60
const LABEL_GAP = 26

/** Isolines with their values; where two labels would come close the longer line keeps its. */
export class IsolineLayer extends DeclutteredLayer {
  private readonly renderer = L.canvas({ padding: 0.3 })
  private labels: L.Marker[] = []

  /** @param label the value of a line in words */
  show(lines: readonly Isoline[], label: (value: number) => string): void {
    this.clearLayers()
    this.labels = []
    const drawn = lines.map(({ value, line }) => ({ value, path: line.map((at) => onMap(at)) }))
    drawn.sort((a, b) => b.path.length - a.path.length)
    for (const { value, path } of drawn) {
      const style = { renderer: this.renderer, interactive: false, color: '#20143a' }
      this.addLayer(L.polyline(path, { ...style, weight: 1.2, opacity: 0.75 }))
      if (path.length < FEWEST_LABELLED_POINTS) continue
      // Two places a line, so that one is likely in view.
      for (const share of [0.25, 0.75]) {
        const at = path[Math.floor(path.length * share)]
        const text = document.createElement('span')
        text.textContent = label(value)
        const icon = L.divIcon({ className: 'isoline-label', iconSize: [0, 0], html: text })
        const marker = L.marker(at, { icon, interactive: false, keyboard: false })
        this.labels.push(marker)
        this.addLayer(marker)
      }
    }
    this.declutter()
  }

  protected override declutter(): void {
    const taken: L.Point[] = []
    for (const marker of this.labels) {
      const element = marker.getElement()
      if (!element) continue
      const at = L.DomUtil.getPosition(element)
      const isFree = taken.every((other) => other.distanceTo(at) > LABEL_GAP)
      element.hidden = !isFree
      if (isFree) taken.push(at)
    }
  }
}
