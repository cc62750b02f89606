import L from 'leaflet'
import type { LatLon } from '../../core/geodesy/earth'
import { normalizeLonDeg } from '../../core/geodesy/geodesic'
import { CONFLICT_KINDS, type Conflict, type ConflictKind } from '../../core/route/corridor'
import type { Route } from '../../core/route/route'
import { aircraftIcon } from './icons'
import { say } from '../../core/words/say'
import { onMap } from './placement'

/** Also the colours of the corridor's stretches. */
export const CONFLICT_COLOURS: Readonly<Record<ConflictKind, string>> = {
  'no-height': '#c1121f',
  'under-floor': '#f0781e',
  'weak-signal': '#c79a00',
  'over-ceiling': '#a23bb8',
  'too-close': '#7a1f10',
  'no-landing': '#3f7fa6',
  'not-known': '#8a8f99',
}

const stretchStyle = (kind: ConflictKind): L.PolylineOptions => ({
  color: CONFLICT_COLOURS[kind],
  weight: 8,
  opacity: 0.95,
  lineCap: 'butt',
  interactive: false,
})
const CASING: L.PolylineOptions = { color: '#fff', weight: 7, opacity: 0.9, interactive: false }
const LINE: L.PolylineOptions = { color: '#14213d', weight: 2.8, interactive: false }
const BORDER: L.PolylineOptions = {
  color: '#0b6b3a',
  weight: 2.5,
  dashArray: '10 5 2 5',
  interactive: false,
}

const DIVERT: L.PolylineOptions = {
  color: '#0b5a31',
  weight: 3,
  dashArray: '7 5',
  interactive: false,
}

/** What the pilot does with the route on the map. */
export interface RouteHands {
  move(index: number, to: LatLon, gesture: string): boolean
  insert(index: number, at: LatLon): void
  remove(index: number): void
  point(index: number): void
  endGesture(): void
}

/** A place marked beside the route. */
export interface Mark extends LatLon {
  readonly label: string
  readonly title: string
  /** Where its label stands, so that two at one place can be read. */
  readonly side: 'left' | 'right'
}

/** The route with its waypoints and handles, its troubled stretches and turning points. */
export class RouteLayer extends L.LayerGroup {
  private readonly casing = L.polyline([], CASING)
  /** One layer a kind of trouble, with all of its stretches. */
  private readonly stretches = CONFLICT_KINDS.map((kind) => L.polyline([], stretchStyle(kind)))
  private readonly line = L.polyline([], LINE)
  private readonly border = L.layerGroup()
  private readonly turns = L.layerGroup()
  private readonly divert = L.polyline([], DIVERT)
  private readonly aircraft = L.marker([0, 0], {
    icon: aircraftIcon,
    interactive: false,
    keyboard: false,
    zIndexOffset: 900,
  })
  private waypoints: L.Marker[] = []
  private handles: L.Marker[] = []
  /** Marker under the hand: it follows the hand, not the state. */
  private held: L.Marker | null = null

  constructor(private readonly hands: RouteHands) {
    super()
    const parts = [this.border, this.casing, ...this.stretches, this.line]
    for (const part of parts) this.addLayer(part)
    this.addLayer(this.turns)
    this.addLayer(this.divert)
  }

  /** @param name of a waypoint, by its index */
  showRoute(launch: LatLon | null, route: Route, name: (index: number) => string): void {
    const points = launch ? route.waypoints : []
    const path = launch && points.length > 0 ? [launch, ...points] : []
    if (launch && route.endsAtLaunch && path.length > 0) path.push(launch)
    const places = path.map(onMap)
    this.casing.setLatLngs(places)
    this.line.setLatLngs(places)
    const numbers = sharedNumbers(points)
    this.waypoints = this.resized(this.waypoints, points.length, (i) => this.waypointMarker(i))
    this.waypoints.forEach((marker, i) => {
      if (marker !== this.held) place(marker, places[i + 1])
      const element = marker.getElement()
      if (!element) return
      // The hand lets go of what it holds, not of a new waypoint that came to lie over it.
      element.style.pointerEvents = this.held && this.held !== marker ? 'none' : ''
      const title = say('routeLayer.dragMoveRightClick', { i: name(i) })
      if (element.title !== title) element.title = title
      const number = element.firstElementChild
      if (number && number.textContent !== numbers[i]) number.textContent = numbers[i]
    })
    const legs = Math.max(0, places.length - 1)
    this.handles = this.resized(this.handles, legs, (i) => this.handleMarker(i))
    this.handles.forEach((marker, i) => {
      if (marker === this.held) return
      const [[latA, lonA], [latB, lonB]] = [places[i], places[i + 1]]
      place(marker, [(latA + latB) / 2, (lonA + lonB) / 2])
    })
  }

  showConflicts(conflicts: readonly Conflict[], pathOf: (conflict: Conflict) => LatLon[]): void {
    this.stretches.forEach((layer, i) => {
      const own = conflicts.filter(({ kind }) => kind === CONFLICT_KINDS[i])
      layer.setLatLngs(own.map((conflict) => pathOf(conflict).map(onMap)))
    })
  }

  showTurns(marks: readonly Mark[]): void {
    this.turns.clearLayers()
    for (const mark of marks) this.turns.addLayer(markOf(mark))
  }

  showBorder(lines: readonly (readonly LatLon[])[]): void {
    this.border.clearLayers()
    for (const line of lines) this.border.addLayer(L.polyline(line.map(onMap), BORDER))
  }

  /** The aircraft, and the way from it to the nearest landing area in reach. */
  showAircraft(at: LatLon | null, landing: LatLon | null): void {
    this.divert.setLatLngs(at && landing ? [onMap(at), onMap(landing)] : [])
    if (at) this.addLayer(this.aircraft.setLatLng(onMap(at)))
    else this.removeLayer(this.aircraft)
  }

  /** The same markers, so many of them. */
  private resized(markers: L.Marker[], count: number, make: (i: number) => L.Marker): L.Marker[] {
    for (const marker of markers.slice(count)) this.removeLayer(marker)
    const kept = markers.slice(0, count)
    while (kept.length < count) {
      const marker = make(kept.length)
      this.addLayer(marker)
      kept.push(marker)
    }
    return kept
  }

  private waypointMarker(index: number): L.Marker {
    const text = document.createElement('span')
    const icon = L.divIcon({ className: 'waypoint', iconSize: [0, 0], html: text })
    const marker = L.marker([0, 0], {
      icon,
      draggable: true,
      keyboard: false,
      zIndexOffset: 600,
    })
    const move = () => this.hands.move(index, placeOf(marker), `drag waypoint ${index}`)
    marker.on('dragstart', () => (this.held = marker))
    marker.on('drag', move)
    marker.on('dragend', () => this.release())
    marker.on('click', (event) => {
      L.DomEvent.stop(event)
      this.hands.point(index)
    })
    marker.on('contextmenu', (event) => {
      L.DomEvent.stop(event)
      this.hands.remove(index)
    })
    return marker
  }

  /** In the middle of a leg: dragged it becomes a waypoint. */
  private handleMarker(leg: number): L.Marker {
    const icon = L.divIcon({ className: 'leg-handle', iconSize: [14, 14] })
    const marker = L.marker([0, 0], {
      icon,
      draggable: true,
      keyboard: false,
      title: say('routeLayer.dragPutWaypointHere'),
      zIndexOffset: 300,
    })
    marker.on('dragstart', () => {
      this.held = marker
      this.hands.insert(leg, placeOf(marker))
    })
    marker.on('drag', () => this.hands.move(leg, placeOf(marker), `drag waypoint ${leg}`))
    marker.on('dragend', () => this.release())
    return marker
  }

  private release(): void {
    this.held = null
    for (const marker of this.waypoints) {
      const element = marker.getElement()
      if (element) element.style.pointerEvents = ''
    }
    this.hands.endGesture()
  }
}

/** Numbers of the waypoints; those at one place, as on a way back, carry all of theirs. */
function sharedNumbers(points: readonly LatLon[]): string[] {
  const key = ({ latDeg, lonDeg }: LatLon) => `${latDeg},${lonDeg}`
  const at = new Map<string, number[]>()
  points.forEach((point, i) => at.set(key(point), [...(at.get(key(point)) ?? []), i + 1]))
  return points.map((point) => at.get(key(point))?.join('·') ?? '')
}

/** Puts a marker somewhere else; most of a long route stays where it is. */
function place(marker: L.Marker, at: L.LatLngTuple): void {
  const { lat, lng } = marker.getLatLng()
  if (lat !== at[0] || lng !== at[1]) marker.setLatLng(at)
}

function placeOf(marker: L.Marker): LatLon {
  const { lat, lng } = marker.getLatLng()
  return { latDeg: lat, lonDeg: normalizeLonDeg(lng) }
}

function markOf({ label, title, side, ...at }: Mark): L.Marker {
  const text = document.createElement('span')
  text.textContent = label
  const icon = L.divIcon({ className: `turn-mark turn-${side}`, iconSize: [0, 0], html: text })
  return L.marker(onMap(at), { icon, interactive: false, keyboard: false, title })
}
