import type { TextKey } from '../words/say'
import { COVERAGE_CLASSES, type CoverageClass } from '../coverage/shares'

export type Rgba = readonly [red: number, green: number, blue: number, alpha: number]

/** How a class is laid over the relief: one colour, or a second one in a pattern on it. */
export interface Veil {
  readonly label: TextKey
  readonly colour: Rgba
  readonly pattern: { readonly kind: 'stripes' | 'dots' | 'bars'; readonly colour: Rgba } | null
}

/**
 * Light, striped and dark are what is sure; dots mark what the terrain's error leaves open. They
 * stay apart in grey and for every kind of colour vision.
 */
export const VEILS: Readonly<Record<CoverageClass, Veil>> = {
  fresnelClear: { label: 'colours.fresnelClear', colour: [64, 190, 196, 84], pattern: null },
  fresnelUncertain: {
    label: 'colours.fresnelUncertain',
    colour: [64, 190, 196, 84],
    pattern: { kind: 'dots', colour: [201, 114, 0, 235] },
  },
  sightOnly: {
    label: 'colours.sightOnly',
    colour: [246, 190, 90, 70],
    pattern: { kind: 'stripes', colour: [246, 166, 35, 190] },
  },
  sightUncertain: {
    label: 'colours.sightUncertain',
    colour: [44, 34, 66, 84],
    pattern: { kind: 'dots', colour: [255, 224, 150, 215] },
  },
  blocked: { label: 'common.blocked', colour: [44, 34, 66, 138], pattern: null },
}

/** Every pattern repeats after this many pixels, along rows and columns. */
export const PATTERN_PIXELS = 10
const STRIPE_PIXELS = 5
const DOT_SPACING = 5
const DOT_PIXELS = 2

export const LAUNCH_COLOUR: Rgba = [214, 51, 108, 255]

/** The patterns of all classes one after the other, row by row, as packed words. */
export const PATTERN_WORDS = Uint32Array.from(
  COVERAGE_CLASSES.flatMap((name) => tileOf(VEILS[name])),
)

/** One repeat of a veil, row by row, as packed words. */
export function tileOf({ colour, pattern }: Veil): number[] {
  const tile: number[] = []
  for (let y = 0; y < PATTERN_PIXELS; y++) {
    for (let x = 0; x < PATTERN_PIXELS; x++) {
      const isInk =
        pattern?.kind === 'stripes'
          ? (x + y) % PATTERN_PIXELS < STRIPE_PIXELS
          : pattern?.kind === 'bars'
            ? x % PATTERN_PIXELS < STRIPE_PIXELS
            : x % DOT_SPACING < DOT_PIXELS && y % DOT_SPACING < DOT_PIXELS
      tile.push(packRgba(pattern && isInk ? pattern.colour : colour))
    }
  }
  return tile
}

/** The colour at a place of a row of colours: 0 the first, 1 the second, and between them a mix. */
export function mixColours(colours: readonly Rgba[], place: number): Rgba {
  const low = Math.min(colours.length - 2, Math.max(0, Math.floor(place)))
  const [a, b] = [colours[low], colours[low + 1]]
  const band = (i: number) => Math.round(a[i] + (b[i] - a[i]) * (place - low))
  return [band(0), band(1), band(2), band(3)]
}

export function cssColour([red, green, blue, alpha]: Rgba): string {
  return `rgb(${red} ${green} ${blue} / ${(alpha / 255).toFixed(3)})`
}

/** The colour as canvas memory holds it on a little-endian machine. */
export function packRgba([red, green, blue, alpha]: Rgba): number {
  return ((alpha << 24) | (blue << 16) | (green << 8) | red) >>> 0
}
