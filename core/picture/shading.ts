import { packRgba, STRIPE_PIXELS, VEILS } from './colours'
import type { View } from './view'

const TRANSPARENT = 0
const CLEAR = packRgba(VEILS.fresnelClear.colour)
const SIGHT = packRgba(VEILS.sightOnly.colour)
const SIGHT_STRIPE = packRgba(VEILS.sightOnly.stripe ?? VEILS.sightOnly.colour)
const BLOCKED = packRgba(VEILS.blocked.colour)

/**
 * Paints the coverage classes at one flying height, each pixel by the cell it lies in.
 * @param cells index of the cell under each pixel, -1 for none (see cellsOfView)
 * @param pixels receives packed RGBA, one word a pixel
 */
export function paintShading(
  pixels: Uint32Array,
  cells: Int32Array,
  view: Pick<View, 'width' | 'height' | 'patternX' | 'patternY'>,
  fields: { readonly sightM: Float32Array; readonly fresnelM: Float32Array },
  flyingHeightM: number,
): void {
  const { sightM, fresnelM } = fields
  const { width, height } = view
  const period = 2 * STRIPE_PIXELS
  for (let row = 0, i = 0; row < height; row++) {
    let phase = (view.patternX + view.patternY + row) % period
    for (let col = 0; col < width; col++, i++) {
      const cell = cells[i]
      let colour = TRANSPARENT
      if (cell >= 0) {
        if (fresnelM[cell] <= flyingHeightM) colour = CLEAR
        else if (sightM[cell] <= flyingHeightM)
          colour = phase < STRIPE_PIXELS ? SIGHT : SIGHT_STRIPE
        else if (sightM[cell] > flyingHeightM) colour = BLOCKED
      }
      pixels[i] = colour
      if (++phase === period) phase = 0
    }
  }
}
