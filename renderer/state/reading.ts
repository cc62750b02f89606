import { computed } from '@preact/signals'
import { readField, type Reading } from '../../core/coverage/reading'
import type { LatLon } from '../../core/geodesy/earth'
import { GridLocator } from '../../core/terrain/grid'
import { cellsOfShapes, shapesOnGrid } from '../../core/terrain/shapes'
import { coverage } from './coverage'
import { setup } from './setup'

/** What both fields say over the line or area that is read. */
export interface Readings {
  readonly sight: Reading
  readonly fresnel: Reading
  /** Where a cell of the readings lies. */
  readonly placeOf: (cell: number) => LatLon
}

const cells = computed(() => {
  const [frame, geometry] = [coverage.value?.frame, setup.value.reading]
  if (!frame || !geometry) return null
  const locator = new GridLocator(frame)
  return { locator, list: cellsOfShapes(shapesOnGrid(geometry, locator), frame) }
})

export const readings = computed((): Readings | null => {
  const [fields, found] = [coverage.value, cells.value]
  if (!fields || !found) return null
  const { flyingHeightM } = setup.value
  const { cols } = fields.frame
  return {
    sight: readField(fields.sightM, found.list, flyingHeightM),
    fresnel: readField(fields.fresnelM, found.list, flyingHeightM),
    placeOf: (cell) => found.locator.toLatLon({ col: cell % cols, row: Math.floor(cell / cols) }),
  }
})
