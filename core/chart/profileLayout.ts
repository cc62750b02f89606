import { scaleLinear } from 'd3-scale'
import { area, line } from 'd3-shape'
import { USUAL_FRESNEL_FRACTION } from '../propagation/fresnel'
import type { PathProfile } from '../propagation/path'
import { HEIGHT_UNIT, METRES_PER_MILE, type Units } from '../words/units'

export const MARGIN = { top: 30, right: 18, bottom: 34, left: 58 }
/** Air kept free above the highest thing drawn and below the lowest, share of the range. */
const HEADROOM = 0.08
/** Shorter paths are measured in the unit of heights. */
const SHORT_PATH_M = 1500

/** Scales and outlines of a profile of one size: all that does not move with the cursor. */
export function layoutProfile(path: PathProfile, width: number, height: number, units: Units) {
  const heightUnit = HEIGHT_UNIT[units].metres
  const isShort = path.distanceM < SHORT_PATH_M
  const distanceUnit = isShort ? heightUnit : units === 'metric' ? 1000 : METRES_PER_MILE
  const distanceSymbol = isShort ? HEIGHT_UNIT[units].symbol : units === 'metric' ? 'km' : 'mi'
  const { distanceM, groundM, surfaceM, bulgeM, rayM, fresnelRadiusM } = path.samples
  /** What the ray must clear, raised by the curved Earth, and the bare ground below. */
  const surface = (i: number) => surfaceM[i] + bulgeM[i]
  const groundLine = (i: number) => groundM[i] + bulgeM[i]
  const hasGround = (i: number) => !Number.isNaN(groundM[i])

  let [lowest, highest] = [Infinity, -Infinity]
  for (let i = 0; i < distanceM.length; i++) {
    lowest = Math.min(lowest, hasGround(i) ? groundLine(i) : Infinity)
    highest = Math.max(highest, rayM[i] + fresnelRadiusM[i], hasGround(i) ? surface(i) : -Infinity)
  }
  const room = Math.max(5, (highest - lowest) * HEADROOM)
  const bottom = height - MARGIN.bottom
  const x = scaleLinear([0, path.distanceM / distanceUnit], [MARGIN.left, width - MARGIN.right])
  const y = scaleLinear(
    [(lowest - room) / heightUnit, (highest + room) / heightUnit],
    [bottom, MARGIN.top],
  )
  const xAt = (i: number) => x(distanceM[i] / distanceUnit)
  const yAt = (metres: number) => y(metres / heightUnit)

  const indices = outlineSamples(distanceM.length, width / 2, surface)
  const zoneIndices = zoneSamples(distanceM.length)
  const zone = (share: number) =>
    area<number>(
      xAt,
      (i) => yAt(rayM[i] - share * fresnelRadiusM[i]),
      (i) => yAt(rayM[i] + share * fresnelRadiusM[i]),
    )(zoneIndices) ?? ''
  const ground = area<number>(xAt, bottom, (i) => yAt(groundLine(i))).defined(hasGround)
  const cover = area<number>(
    xAt,
    (i) => yAt(groundLine(i)),
    (i) => yAt(surface(i)),
  ).defined(hasGround)
  const skyline = line<number>(xAt, (i) => yAt(surface(i))).defined(hasGround)
  return {
    x,
    y,
    xAt,
    yAt,
    surface,
    bottom,
    distanceSymbol,
    zone: zone(1),
    zoneCore: zone(USUAL_FRESNEL_FRACTION),
    ground: ground(indices) ?? '',
    cover: cover(indices) ?? '',
    skyline: skyline(indices) ?? '',
  }
}

/** Edges that an outline of the zone is drawn with. */
const ZONE_EDGES = 180

/** Samples close together at both ends, where the zone is round, as equal angles cut an ellipse. */
export function zoneSamples(count: number): number[] {
  const all = Array.from({ length: ZONE_EDGES + 1 }, (_, k) =>
    Math.round(((count - 1) * (1 - Math.cos((Math.PI * k) / ZONE_EDGES))) / 2),
  )
  return all.filter((index, k) => index !== all[k - 1])
}

/**
 * The samples worth drawing: all of a short path, else the lowest and the highest of each of
 * so many parts, and every sample beside missing data.
 */
export function outlineSamples(
  count: number,
  parts: number,
  surface: (i: number) => number,
): number[] {
  const stride = Math.floor(count / parts)
  if (stride < 3) return Array.from({ length: count }, (_, i) => i)
  const kept = [0]
  for (let start = 1; start < count - 1; start += stride) {
    const end = Math.min(count - 1, start + stride)
    let [low, high] = [start, start]
    for (let i = start; i < end; i++) {
      if (!(surface(i) >= surface(low))) low = i
      if (!(surface(i) <= surface(high))) high = i
    }
    kept.push(...(low === high ? [low] : [Math.min(low, high), Math.max(low, high)]))
  }
  return [...kept, count - 1]
}
