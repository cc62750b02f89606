import { marginClass, MARGIN_CLASSES, type LinkOverSite, type MarginClass } from '../radio/margin'
import { mixColours, packRgba, PATTERN_PIXELS, tileOf, type Rgba, type Veil } from './colours'
import type { View } from './view'

/** Light, barred and dark, as the answers are; bars upright, so that the two are told apart. */
export const MARGIN_VEILS: Readonly<Record<MarginClass, Veil>> = {
  comfortable: { label: 'marginShading.comfortable', colour: [72, 132, 214, 92], pattern: null },
  thin: {
    label: 'marginShading.thin',
    colour: [252, 226, 140, 70],
    pattern: { kind: 'bars', colour: [206, 120, 18, 200] },
  },
  lost: { label: 'marginShading.lost', colour: [62, 24, 40, 142], pattern: null },
}
export const MARGIN_WORDS = Uint32Array.from(
  MARGIN_CLASSES.flatMap((name) => tileOf(MARGIN_VEILS[name])),
)

/** Margins at which the scale has its colours, dB. */
export const MARGIN_STOPS_DB = [-20, -10, 0, 10, 20, 30]
export const MARGIN_COLOURS: readonly Rgba[] = [
  [48, 14, 30, 190],
  [116, 36, 52, 180],
  [206, 120, 60, 175],
  [238, 214, 140, 165],
  [170, 214, 226, 160],
  [96, 160, 226, 160],
]
const SCALE_STEPS = 500
const SCALE_WORDS = Uint32Array.from({ length: SCALE_STEPS + 1 }, (_, i) => scaleWord(i))

/** One colour a ground antenna, told apart in grey as well. */
export const ANTENNA_COLOURS: readonly Rgba[] = [
  [72, 132, 214, 110],
  [240, 190, 60, 130],
  [90, 40, 110, 120],
  [210, 240, 220, 150],
]

export type MarginStyle = 'classes' | 'scale' | 'antenna'

const CONTOUR = packRgba([20, 16, 40, 235])

/**
 * Paints margins, the worst of the links, each pixel by the cell it lies in, with a line where the
 * margin is zero.
 */
export function paintMargins(
  pixels: Uint32Array,
  cells: Int32Array,
  { width, height, patternX, patternY }: Pick<View, 'width' | 'height' | 'patternX' | 'patternY'>,
  links: readonly LinkOverSite[],
  style: MarginStyle,
): void {
  let above = new Float32Array(width).fill(NaN)
  let here = new Float32Array(width)
  for (let row = 0, i = 0; row < height; row++) {
    const patternRow = ((patternY + row) % PATTERN_PIXELS) * PATTERN_PIXELS
    let phase = patternX % PATTERN_PIXELS
    let left = NaN
    let cell = -1
    let margin = NaN
    let kind = 0
    let branch = 0
    for (let col = 0; col < width; col++, i++) {
      // Neighbouring pixels often lie in the same cell.
      if (cells[i] !== cell) {
        cell = cells[i]
        margin = NaN
        kind = 0
        for (let k = 0; cell >= 0 && k < links.length; k++) {
          const { paths, marginDb, fadeMarginDb, branches } = links[k]
          const direction = paths.directions[cell]
          const its = marginDb[direction] - paths.lossDb[cell]
          if (Number.isNaN(its)) continue
          kind = Math.max(kind, marginClass(its, fadeMarginDb))
          if (!(its >= margin)) {
            margin = its
            branch = branches[direction]
          }
        }
      }
      here[col] = margin
      const isZero = margin >= 0 !== left >= 0 || margin >= 0 !== above[col] >= 0
      const hasNeighbours = !Number.isNaN(margin + left + above[col])
      pixels[i] = Number.isNaN(margin)
        ? 0
        : isZero && hasNeighbours
          ? CONTOUR
          : style === 'scale'
            ? wordOfMargin(margin)
            : style === 'antenna' && margin >= 0
              ? packRgba(ANTENNA_COLOURS[branch % ANTENNA_COLOURS.length])
              : MARGIN_WORDS[kind * PATTERN_PIXELS * PATTERN_PIXELS + patternRow + phase]
      left = margin
      if (++phase === PATTERN_PIXELS) phase = 0
    }
    ;[above, here] = [here, above]
  }
}

function wordOfMargin(marginDb: number): number {
  const [lowest, highest] = [MARGIN_STOPS_DB[0], MARGIN_STOPS_DB[MARGIN_STOPS_DB.length - 1]]
  const share = (marginDb - lowest) / (highest - lowest)
  return SCALE_WORDS[share <= 0 ? 0 : share >= 1 ? SCALE_STEPS : (share * SCALE_STEPS) | 0]
}

function scaleWord(step: number): number {
  return packRgba(mixColours(MARGIN_COLOURS, (step / SCALE_STEPS) * (MARGIN_COLOURS.length - 1)))
}
