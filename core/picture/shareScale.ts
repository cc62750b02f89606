import { mixColours, packRgba, type Rgba } from './colours'

/** From none to all: lighter throughout, so that the best ground stands out. */
export const SHARE_COLOURS: readonly Rgba[] = [
  [38, 18, 62, 175],
  [92, 28, 108, 180],
  [160, 50, 96, 185],
  [222, 92, 62, 190],
  [248, 160, 60, 195],
  [252, 232, 140, 205],
]
const STEPS = 256
const WORDS = Uint32Array.from({ length: STEPS + 1 }, (_, i) =>
  packRgba(mixColours(SHARE_COLOURS, (i / STEPS) * (SHARE_COLOURS.length - 1))),
)

/**
 * Paints shares, 0 to 1, each pixel by the cell it lies in; NaN is not painted.
 * @param most the share that gets the lightest colour
 */
export function paintShares(
  pixels: Uint32Array,
  cells: Int32Array,
  shares: Float32Array,
  most: number,
): void {
  for (let i = 0; i < pixels.length; i++) {
    const share = cells[i] < 0 ? NaN : shares[cells[i]]
    pixels[i] = Number.isNaN(share) ? 0 : WORDS[Math.min(STEPS, (share / most) * STEPS) | 0]
  }
}
