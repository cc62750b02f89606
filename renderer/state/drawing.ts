import { signal } from '@preact/signals'
import type { LineString, Point, Polygon } from 'geojson'
import type { LatLon } from '../../core/geodesy/earth'

export type Shape = 'point' | 'line' | 'area'

/** A shape being drawn on the map, point by point. */
export interface Drawing {
  /** What is drawn, for the hint: "wire", "area to read". */
  readonly what: string
  readonly shape: Shape
  readonly points: readonly LatLon[]
  /** Points it needs at least. */
  readonly fewest: number
  readonly onDone: (geometry: Point | LineString | Polygon) => void
}

export const drawing = signal<Drawing | null>(null)

const USUAL_FEWEST: Readonly<Record<Shape, number>> = { point: 1, line: 2, area: 3 }

/** @param fewest points it needs at least; a line of one is handed over as a point */
export function startDrawing(
  what: string,
  shape: Shape,
  onDone: Drawing['onDone'],
  fewest = USUAL_FEWEST[shape],
): void {
  drawing.value = { what, shape, points: [], fewest, onDone }
}

export function addPoint(point: LatLon): void {
  const now = drawing.peek()
  if (!now) return
  drawing.value = { ...now, points: [...now.points, point] }
  if (now.shape === 'point') finishDrawing()
}

export function removeLastPoint(): void {
  const now = drawing.peek()
  if (now) drawing.value = { ...now, points: now.points.slice(0, -1) }
}

export function cancelDrawing(): void {
  drawing.value = null
}

/** True once the drawing has points enough to be finished. */
export function canFinish({ points, fewest }: Drawing): boolean {
  return points.length >= fewest
}

export function finishDrawing(): void {
  const now = drawing.peek()
  if (!now || !canFinish(now)) return
  drawing.value = null
  const coordinates = now.points.map(({ latDeg, lonDeg }) => [lonDeg, latDeg])
  if (coordinates.length === 1) now.onDone({ type: 'Point', coordinates: coordinates[0] })
  else if (now.shape === 'line') now.onDone({ type: 'LineString', coordinates })
  else now.onDone({ type: 'Polygon', coordinates: [[...coordinates, coordinates[0]]] })
}
