import L from 'leaflet'
import type { Polygon } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import type { LandingArea } from '../../core/landing/landingArea'
import type { FootWay } from '../../core/landing/footWay'
import { roadHeadIcon } from './icons'
import { say } from '../../core/words/say'
import { onMap } from './placement'

/** An area found, as the map shows it. */
export interface ShownArea {
  readonly outline: Polygon
  /** Share of its picture down to the ground, 0 to 1; null while not known. */
  readonly picture: number | null
  readonly isSelected: boolean
  readonly title: string
}

/** A valley as the map shows it. */
export interface ShownValley {
  readonly outline: Polygon
  readonly at: LatLon
  readonly label: string
  readonly isChosen: boolean
}

const ACCEPTED: L.PathOptions = {
  color: '#0b5a31',
  weight: 3,
  fillColor: '#fff',
  fillOpacity: 0.35,
}
const EXCLUDED: L.PathOptions = {
  color: '#7a1f10',
  weight: 1.5,
  dashArray: '3 4',
  fillColor: '#7a1f10',
  fillOpacity: 0.2,
  interactive: false,
}
const WAY: L.PolylineOptions = {
  color: '#6b3f12',
  weight: 3.5,
  dashArray: '1 6',
  interactive: false,
}
const AVALANCHE: L.PolylineOptions = {
  color: '#c1121f',
  weight: 6,
  opacity: 0.8,
  interactive: false,
}

/** What was found on the ground: landing areas, ways on foot, valleys, spots to stand at. */
export class GroundLayer extends L.LayerGroup {
  private readonly renderer = L.canvas({ padding: 0.3 })
  private readonly valleys = L.layerGroup()
  private readonly spots = L.layerGroup()
  private readonly found = L.layerGroup()
  private readonly accepted = L.layerGroup()
  private readonly excluded = L.layerGroup()
  private readonly way = L.layerGroup()
  private readonly road = L.marker([0, 0], {
    icon: roadHeadIcon,
    interactive: false,
    keyboard: false,
  })

  constructor() {
    super()
    const parts = [this.valleys, this.excluded, this.found, this.way, this.accepted, this.spots]
    for (const part of parts) this.addLayer(part)
  }

  /** @param choose takes a click on an area; false where it does not want it */
  showFound(areas: readonly ShownArea[], choose: (index: number) => boolean): void {
    this.found.clearLayers()
    areas.forEach(({ outline, picture, isSelected, title }, i) => {
      const polygon = L.polygon(ringsOf(outline), {
        renderer: this.renderer,
        color: isSelected ? '#14213d' : '#7a5a00',
        weight: isSelected ? 3.5 : 1.5,
        fillColor: '#ffd43b',
        // The more of the picture lasts to the ground, the fuller.
        fillOpacity: 0.15 + 0.65 * (picture ?? 0),
      })
      polygon.bindTooltip(title, { sticky: true })
      polygon.on('click', (event) => {
        // Where the map has another use for the click it goes on to it.
        if (choose(i)) L.DomEvent.stop(event)
      })
      this.found.addLayer(polygon)
    })
  }

  showAccepted(areas: readonly LandingArea[]): void {
    this.accepted.clearLayers()
    for (const { outline, at, name, isHome } of areas) {
      this.accepted.addLayer(L.polygon(ringsOf(outline), { ...ACCEPTED, interactive: false }))
      const text = document.createElement('span')
      text.textContent = isHome ? say('groundLayer.home', { name }) : name
      const icon = L.divIcon({ className: 'landing-mark', iconSize: [0, 0], html: text })
      this.accepted.addLayer(L.marker(onMap(at), { icon, interactive: false, keyboard: false }))
    }
  }

  showExcluded(outlines: readonly Polygon[]): void {
    this.excluded.clearLayers()
    for (const outline of outlines) this.excluded.addLayer(L.polygon(ringsOf(outline), EXCLUDED))
  }

  showWay(way: FootWay | null): void {
    this.way.clearLayers()
    if (!way) return
    for (const stretch of way.avalanche) {
      this.way.addLayer(L.polyline(stretch.map(onMap), AVALANCHE))
    }
    this.way.addLayer(L.polyline(way.line.map(onMap), WAY))
  }

  showValleys(valleys: readonly ShownValley[]): void {
    this.valleys.clearLayers()
    for (const { outline, at, label, isChosen } of valleys) {
      const style = { renderer: this.renderer, interactive: false, color: '#123c86' }
      this.valleys.addLayer(
        L.polygon(ringsOf(outline), {
          ...style,
          weight: isChosen ? 4 : 1.4,
          fillOpacity: isChosen ? 0.14 : 0,
        }),
      )
      const text = document.createElement('span')
      text.textContent = label
      const icon = L.divIcon({ className: 'valley-mark', iconSize: [0, 0], html: text })
      this.valleys.addLayer(L.marker(onMap(at), { icon, interactive: false, keyboard: false }))
    }
  }

  showSpots(spots: readonly { at: LatLon; label: string; isChosen: boolean }[]): void {
    this.spots.clearLayers()
    for (const { at, label, isChosen } of spots) {
      const text = document.createElement('span')
      text.textContent = label
      const className = isChosen ? 'spot-mark spot-chosen' : 'spot-mark'
      const icon = L.divIcon({ className, iconSize: [0, 0], html: text })
      this.spots.addLayer(L.marker(onMap(at), { icon, interactive: false, keyboard: false }))
    }
  }

  showRoadHead(at: LatLon | null): void {
    if (!at) this.removeLayer(this.road)
    else this.addLayer(this.road.setLatLng(onMap(at)))
  }
}

/** Rings of a polygon on the turn of the globe that the site is on. */
function ringsOf({ coordinates }: Polygon): L.LatLngTuple[][] {
  return coordinates.map((ring) => ring.map(([lonDeg, latDeg]) => onMap({ latDeg, lonDeg })))
}
