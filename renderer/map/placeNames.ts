import L from 'leaflet'
import type { NamedPlace } from '../state/site'
import { DeclutteredLayer } from './declutteredLayer'
import { onMap } from './placement'

/** Room kept free around a name, pixels. */
const GAP = 3

/** Names of places on the map. Where two would touch, the one that comes first is shown. */
export class PlaceNames extends DeclutteredLayer {
  show(places: readonly NamedPlace[]): void {
    this.clearLayers()
    for (const { name, kind, ...position } of places) {
      const icon = placeIcon(name, kind)
      this.addLayer(L.marker(onMap(position), { icon, interactive: false, keyboard: false }))
    }
    this.declutter()
  }

  protected override declutter(): void {
    const names = this.getLayers().flatMap((layer) => (layer as L.Marker).getElement() ?? [])
    // All are measured before one is hidden, so that the page is laid out once.
    for (const name of names) name.hidden = false
    const boxes = names.map((name) => name.firstElementChild?.getBoundingClientRect())
    const taken: DOMRect[] = []
    boxes.forEach((box, i) => {
      if (!box) return
      const touches = taken.some(
        (other) =>
          box.left < other.right + GAP &&
          other.left < box.right + GAP &&
          box.top < other.bottom + GAP &&
          other.top < box.bottom + GAP,
      )
      names[i].hidden = touches
      if (!touches) taken.push(box)
    })
  }
}

function placeIcon(name: string, kind: string): L.DivIcon {
  const label = document.createElement('span')
  label.textContent = name
  return L.divIcon({
    className: `place place-${kind.replaceAll(' ', '-')}`,
    iconSize: [0, 0],
    html: label,
  })
}
