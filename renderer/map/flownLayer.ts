import L from 'leaflet'
import type { LatLon } from '../../core/geodesy/earth'
import { aircraftIcon } from './icons'
import { onMap } from './placement'

/** A stretch of the flown track that is drawn alike. */
export interface Stretch {
  readonly line: readonly LatLon[]
  readonly colour: string
  readonly dash: string
}

const CASING: L.PolylineOptions = { color: '#fff', weight: 6.5, opacity: 0.85, interactive: false }

/** A track as it was flown, over the plan. */
export class FlownLayer extends L.LayerGroup {
  private readonly tracks = L.layerGroup()
  private readonly aircraft = L.marker([0, 0], {
    icon: aircraftIcon,
    interactive: false,
    keyboard: false,
    zIndexOffset: 950,
  })

  constructor() {
    super()
    this.addLayer(this.tracks)
  }

  showTrack(stretches: readonly Stretch[]): void {
    this.tracks.clearLayers()
    // The casings first, so that none lies over another's line.
    for (const { line } of stretches) this.tracks.addLayer(L.polyline(line.map(onMap), CASING))
    for (const { line, colour, dash } of stretches) {
      const style = { color: colour, weight: 3.2, dashArray: dash, interactive: false }
      this.tracks.addLayer(L.polyline(line.map(onMap), style))
    }
  }

  showAircraft(at: LatLon | null): void {
    if (!at) {
      this.removeLayer(this.aircraft)
      return
    }
    this.aircraft.setLatLng(onMap(at))
    if (!this.hasLayer(this.aircraft)) this.addLayer(this.aircraft)
  }
}
