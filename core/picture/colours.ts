import type { CoverageClass } from '../coverage/shares'

export type Rgba = readonly [red: number, green: number, blue: number, alpha: number]

/** How a class is laid over the relief: two colours in diagonal stripes, or one. */
export interface Veil {
  readonly label: string
  readonly colour: Rgba
  /** Colour of every other stripe; null for an even veil. */
  readonly stripe: Rgba | null
}

/**
 * Light, striped and dark: the three answers stay apart in grey and for every kind of colour
 * vision.
 */
export const VEILS: Readonly<Record<CoverageClass, Veil>> = {
  fresnelClear: { label: 'Fresnel-clear', colour: [64, 190, 196, 84], stripe: null },
  sightOnly: { label: 'In sight only', colour: [246, 166, 35, 190], stripe: [246, 190, 90, 70] },
  blocked: { label: 'Blocked', colour: [44, 34, 66, 138], stripe: null },
}

/** Width of one stripe, pixels along a row. */
export const STRIPE_PIXELS = 5

export const LAUNCH_COLOUR: Rgba = [214, 51, 108, 255]

export function cssColour([red, green, blue, alpha]: Rgba): string {
  return `rgb(${red} ${green} ${blue} / ${(alpha / 255).toFixed(3)})`
}

/** The colour as canvas memory holds it on a little-endian machine. */
export function packRgba([red, green, blue, alpha]: Rgba): number {
  return ((alpha << 24) | (blue << 16) | (green << 8) | red) >>> 0
}
