import type { ClearFields } from '../coverage/radialSweep'
import { classOf, NO_CLASS } from '../coverage/shares'
import { PATTERN_PIXELS, PATTERN_WORDS } from './colours'
import type { HeightScale } from './heightScale'
import type { View } from './view'

const TRANSPARENT = 0

/**
 * Paints the coverage classes at one flying height, each pixel by the cell it lies in.
 * @param cells index of the cell under each pixel, -1 for none (see cellsOfView)
 * @param pixels receives packed RGBA, one word a pixel
 * @param errorM vertical error of the terrain, metres
 */
export function paintShading(
  pixels: Uint32Array,
  cells: Int32Array,
  view: Pick<View, 'width' | 'height' | 'patternX' | 'patternY'>,
  fields: ClearFields,
  flyingHeightM: number,
  errorM: number,
): void {
  const { width, height } = view
  for (let row = 0, i = 0; row < height; row++) {
    const patternRow = ((view.patternY + row) % PATTERN_PIXELS) * PATTERN_PIXELS
    let phase = view.patternX % PATTERN_PIXELS
    for (let col = 0; col < width; col++, i++) {
      const cell = cells[i]
      const found = cell < 0 ? NO_CLASS : classOf(fields, cell, flyingHeightM, errorM)
      pixels[i] =
        found === NO_CLASS
          ? TRANSPARENT
          : PATTERN_WORDS[found * PATTERN_PIXELS * PATTERN_PIXELS + patternRow + phase]
      if (++phase === PATTERN_PIXELS) phase = 0
    }
  }
}

/** Paints a clear-height field by its scale, each pixel by the cell it lies in. */
export function paintHeights(
  pixels: Uint32Array,
  cells: Int32Array,
  heightsM: Float32Array,
  scale: HeightScale,
): void {
  for (let i = 0; i < pixels.length; i++) {
    const height = cells[i] < 0 ? NaN : heightsM[cells[i]]
    pixels[i] = Number.isNaN(height) ? TRANSPARENT : scale.wordOf(height)
  }
}
