import { mixColours, packRgba, type Rgba } from './colours'
import { METRES_PER_FOOT } from './relief'

/** Heights at which the scale has its colours and the isolines run, in metres and in feet. */
const STOPS_M = [0, 30, 60, 120, 250, 500, 1000]
const STOPS_FT = [0, 100, 200, 400, 800, 1600, 3200]

/** From low to high, darker throughout. */
const COLOURS: readonly Rgba[] = [
  [240, 247, 228, 150],
  [188, 226, 200, 165],
  [112, 193, 186, 180],
  [58, 146, 170, 180],
  [54, 102, 150, 184],
  [66, 62, 120, 188],
  [48, 20, 66, 192],
]
const STEPS = 1024

/** A colour scale for clear heights, even between its stops. */
export class HeightScale {
  /** In the unit of the scale. */
  readonly stops: readonly number[]
  readonly colours = COLOURS
  private readonly words = new Uint32Array(STEPS + 1)
  private readonly topM: number

  /** @param metresPerUnit 1 for metres, else feet */
  constructor(readonly metresPerUnit: number) {
    this.stops = metresPerUnit === METRES_PER_FOOT ? STOPS_FT : STOPS_M
    this.topM = this.stops[this.stops.length - 1] * metresPerUnit
    for (let i = 0; i <= STEPS; i++) this.words[i] = packRgba(this.mix((i / STEPS) ** 2))
  }

  /** Values of the isolines, metres: every stop between the ends. */
  get isolinesM(): number[] {
    return this.stops.slice(1, -1).map((stop) => stop * this.metresPerUnit)
  }

  /** Packed colour of a height in metres; heights above the top share its colour. */
  wordOf(heightM: number): number {
    // Square root spacing: the low heights, which matter most, get the finer steps.
    const t = Math.sqrt(heightM / this.topM)
    return this.words[heightM <= 0 ? 0 : t < 1 ? (t * STEPS) | 0 : STEPS]
  }

  /** Colour at a share of the top height. */
  private mix(share: number): Rgba {
    const height = share * this.stops[this.stops.length - 1]
    const upper = Math.max(
      1,
      this.stops.findIndex((stop) => stop >= height),
    )
    const [low, high] = [this.stops[upper - 1], this.stops[upper]]
    return mixColours(COLOURS, upper - 1 + (height - low) / (high - low))
  }
}
