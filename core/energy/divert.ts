import type { LatLon } from '../geodesy/earth'
import { groundAt, type GridLocator, type TerrainGrid } from '../terrain/grid'
import type { Flyer } from './flight'
import type { Landing, WaysHome } from './wayHome'

/** The nearest landing area in reach from some samples of a route. */
export interface Diverts {
  /** Looked at: the first and the last sample of the line and some between. */
  readonly samples: readonly number[]
  /** Index of the area, -1 where none is in reach. */
  readonly areas: readonly number[]
  /** Straight there, metres; NaN where none is in reach. */
  readonly distancesM: readonly number[]
}

/** So many samples at the most are looked at. */
const MOST_SAMPLES = 240

/** The places to land on the ground of a terrain; those without ground are left out of reach. */
export function landingsOn(
  places: readonly LatLon[],
  terrain: TerrainGrid,
  locator: GridLocator,
): Landing[] {
  return places.map((at) => {
    const position = locator.toGrid(at)
    return { ...position, at, groundM: groundAt(terrain, position) }
  })
}

/**
 * Along a route, which landing area is nearest of those in reach: straight over everything in
 * between at the clearance wanted, and down, with what is left in the pack. In an emergency the
 * reserve may be used.
 */
export function divertsAlong(
  ways: WaysHome,
  flyer: Flyer,
  samplesOfLine: number,
  landings: readonly Landing[],
): Diverts {
  const stride = Math.max(1, Math.ceil((samplesOfLine - 1) / MOST_SAMPLES))
  const samples: number[] = []
  for (let sample = 0; sample < samplesOfLine - 1; sample += stride) samples.push(sample)
  samples.push(samplesOfLine - 1)
  const found = samples.map((sample) => {
    let [best, least] = [-1, Infinity]
    landings.forEach((landing, i) => {
      const way = ways.straightTo(sample, landing)
      // NaN compares false: what is not known is not in reach.
      const isInReach = way !== null && way.landedMah <= flyer.budgetOfAllMah(way.lastW)
      if (isInReach && way.distanceM < least) [best, least] = [i, way.distanceM]
    })
    return { best, distanceM: best < 0 ? NaN : least }
  })
  return {
    samples,
    areas: found.map(({ best }) => best),
    distancesM: found.map(({ distanceM }) => distanceM),
  }
}

/**
 * The area in reach from any sample of the line: that of the looked-at sample before it, where the
 * one after it has one as well.
 */
export function divertAt(
  { samples, areas, distancesM }: Diverts,
  sample: number,
): { area: number; distanceM: number } | null {
  let [low, high] = [0, samples.length]
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (samples[middle] <= sample) low = middle
    else high = middle
  }
  const next = Math.min(samples.length - 1, samples[low] === sample ? low : low + 1)
  return areas[low] < 0 || areas[next] < 0 ? null : { area: areas[low], distanceM: distancesM[low] }
}
