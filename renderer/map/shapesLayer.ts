import L from 'leaflet'
import type { Geometry, Position } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'
import type { Obstacle, ObstacleKind } from '../../core/surface/obstacle'
import type { Drawing } from '../state/drawing'
import { onMap } from './placement'

const STYLES: Readonly<Record<ObstacleKind, L.PathOptions>> = {
  wire: { color: '#b3261e', weight: 3, dashArray: '9 4' },
  mast: { color: '#b3261e', weight: 2, fillColor: '#fff', fillOpacity: 1 },
  wood: { color: '#2f6b34', weight: 1.5, fillColor: '#2f6b34', fillOpacity: 0.3 },
  building: { color: '#4a4a55', weight: 1.5, fillColor: '#4a4a55', fillOpacity: 0.45 },
}
const READING: L.PathOptions = { color: '#1d5fd1', weight: 3, fillOpacity: 0.08 }
const DRAFT: L.PathOptions = { color: '#1d5fd1', weight: 2.5, dashArray: '4 4', fillOpacity: 0.05 }

/** Obstacles, the line or area that is read, and the shape being drawn. */
export class ShapesLayer extends L.LayerGroup {
  private readonly obstacles = L.layerGroup()
  private readonly reading = L.layerGroup()
  private readonly draft = L.layerGroup()

  constructor() {
    super()
    for (const part of [this.obstacles, this.reading, this.draft]) this.addLayer(part)
  }

  showObstacles(obstacles: readonly Obstacle[], label: (obstacle: Obstacle) => string): void {
    this.obstacles.clearLayers()
    for (const obstacle of obstacles) {
      const shape = shapeOf(obstacle.geometry, STYLES[obstacle.kind])
      const text = document.createElement('span')
      text.textContent = label(obstacle)
      shape.bindTooltip(text, { sticky: true })
      this.obstacles.addLayer(shape)
    }
  }

  showReading(geometry: Geometry | null, ends: readonly (LatLon & { label: string })[]): void {
    this.reading.clearLayers()
    if (!geometry) return
    this.reading.addLayer(shapeOf(geometry, { ...READING, interactive: false }))
    for (const { label, ...at } of ends) {
      const text = document.createElement('span')
      text.textContent = label
      const icon = L.divIcon({ className: 'reading-mark', iconSize: [0, 0], html: text })
      this.reading.addLayer(L.marker(onMap(at), { icon, interactive: false, keyboard: false }))
    }
  }

  showDraft(drawing: Drawing | null): void {
    this.draft.clearLayers()
    if (!drawing) return
    const path = drawing.points.map((point) => onMap(point))
    const style = { ...DRAFT, interactive: false }
    this.draft.addLayer(drawing.shape === 'area' ? L.polygon(path, style) : L.polyline(path, style))
    for (const at of path) {
      const dot = { ...style, dashArray: undefined, radius: 4, fillColor: '#fff', fillOpacity: 1 }
      this.draft.addLayer(L.circleMarker(at, dot))
    }
  }
}

/** A geometry on the turn of the globe that the site is on. */
function shapeOf(geometry: Geometry, style: L.PathOptions): L.GeoJSON {
  return L.geoJSON(geometry, {
    style,
    coordsToLatLng: ([lonDeg, latDeg]: Position) => L.latLng(onMap({ latDeg, lonDeg })),
    pointToLayer: (_feature, at) => L.circleMarker(at, { ...style, radius: 5 }),
  })
}
