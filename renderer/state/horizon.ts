import { computed, signal } from '@preact/signals'
import type { LatLon } from '../../core/geodesy/earth'
import { GridLocator } from '../../core/terrain/grid'
import { coverage } from './coverage'

/** Entry of the horizon that is pointed at on its chart. */
export const pointedDirection = signal<number | null>(null)

/** The ground that makes the skyline there. */
export const skylinePlace = computed((): LatLon | null => {
  const [fields, direction] = [coverage.value, pointedDirection.value]
  const cell = fields && direction !== null ? fields.horizon.cells[direction] : -1
  if (!fields || cell < 0) return null
  const { cols } = fields.frame
  return new GridLocator(fields.frame).toLatLon({ col: cell % cols, row: Math.floor(cell / cols) })
})
