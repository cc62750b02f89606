import { say } from '../words/say'
import type { FeatureCollection, MultiPolygon } from 'geojson'
import type { ClearFields } from '../coverage/radialSweep'
import { classOf, COVERAGE_CLASSES, type CoverageClass } from '../coverage/shares'
import { VEILS } from '../picture/colours'
import { paintShading } from '../picture/shading'
import type { GridFrame } from '../terrain/grid'
import { classPolygons } from './classPolygons'

/** The class of every cell at a flying height: an index into COVERAGE_CLASSES, or NO_CLASS. */
export function classRaster(
  fields: ClearFields,
  flyingHeightM: number,
  errorM: number,
): Uint8Array {
  const classes = new Uint8Array(fields.sightM.length)
  for (let i = 0; i < classes.length; i++) classes[i] = classOf(fields, i, flyingHeightM, errorM)
  return classes
}

/** The shading with one pixel a cell, as RGBA bytes. */
export function shadingRgba(
  fields: ClearFields,
  { cols, rows }: GridFrame,
  flyingHeightM: number,
  errorM: number,
): Uint8ClampedArray<ArrayBuffer> {
  const words = new Uint32Array(cols * rows)
  const cells = new Int32Array(cols * rows)
  for (let i = 0; i < cells.length; i++) cells[i] = i
  const view = { width: cols, height: rows, patternX: 0, patternY: 0 }
  paintShading(words, cells, view, fields, flyingHeightM, errorM)
  return new Uint8ClampedArray(words.buffer)
}

/** The shading as GeoJSON, one feature a class. */
export function shadingPolygons(
  classes: Uint8Array,
  frame: GridFrame,
  flyingHeightM: number,
): FeatureCollection<MultiPolygon> {
  return classPolygons(classes, frame, COVERAGE_CLASSES, (name) => ({
    label: say(VEILS[name as CoverageClass].label),
    flying_height_m: flyingHeightM,
  }))
}
