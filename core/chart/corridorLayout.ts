import { scaleLinear } from 'd3-scale'
import { area, line as outline } from 'd3-shape'
import { FLOOR_KINDS, floorAt, type RouteAir, type RouteLimits } from '../route/corridor'
import type { RouteLine } from '../route/routeLine'
import { HEIGHT_UNIT, METRES_PER_MILE, type Units } from '../words/units'
import { nearestIndex } from './nearestIndex'
import { MARGIN, outlineSamples } from './profileLayout'

/** Air kept free above the highest thing drawn and below the lowest, share of the range. */
const HEADROOM = 0.06
/** Room under the ground for the strips, pixels. */
const STRIPS = 26

/** Scales and outlines of a corridor of one size: all that does not move with the aircraft. */
export function layoutCorridor(
  line: RouteLine,
  air: RouteAir | null,
  limits: RouteLimits,
  width: number,
  height: number,
  units: Units,
) {
  const { distanceM, groundM, surfaceM, flownM } = line
  const heightUnit = HEIGHT_UNIT[units].metres
  const distanceUnit = units === 'metric' ? 1000 : METRES_PER_MILE
  const count = distanceM.length
  const hasGround = (i: number) => !Number.isNaN(groundM[i])
  let [lowest, highest] = [Infinity, -Infinity]
  for (let i = 0; i < count; i++) {
    if (!hasGround(i)) continue
    lowest = Math.min(lowest, groundM[i])
    highest = Math.max(highest, flownM[i], surfaceM[i], groundM[i] + limits.ceilingM)
  }
  const room = Math.max(5, (highest - lowest) * HEADROOM)
  const bottom = height - MARGIN.bottom
  const x = scaleLinear(
    [0, Math.max(1, distanceM[count - 1]) / distanceUnit],
    [MARGIN.left, width - MARGIN.right],
  )
  const y = scaleLinear(
    [(lowest - room) / heightUnit, (highest + room) / heightUnit],
    [bottom - STRIPS, MARGIN.top],
  )
  const xOf = (metres: number) => x(metres / distanceUnit)
  const xAt = (i: number) => xOf(distanceM[i])
  const yAt = (metres: number) => y(metres / heightUnit)
  const sampleAt = (pixel: number) => nearestIndex(distanceM, x.invert(pixel) * distanceUnit)

  const indices = outlineSamples(count, width / 2, (i) => surfaceM[i])
  const top = MARGIN.top - 4
  /** Heights over all the chart end at its border. */
  const shown = (metres: number) => Math.max(top, yAt(Math.min(metres, highest + 2 * room)))
  const floor = (i: number) =>
    air ? groundM[i] + Math.max(0, floorAt(air, limits.floorKind, i)) : NaN
  const ceiling = (i: number) => groundM[i] + limits.ceilingM
  const hasFloor = (i: number) => !Number.isNaN(floor(i))
  const isOpen = (i: number) => floor(i) <= ceiling(i)
  const path = (of: (i: number) => number, defined: (i: number) => boolean) =>
    outline<number>(xAt, (i) => shown(of(i)))
      .digits(1)
      .defined(defined)(indices) ?? ''
  const between = (
    from: (i: number) => number,
    to: (i: number) => number,
    defined: (i: number) => boolean,
  ) =>
    area<number>(
      xAt,
      (i) => shown(from(i)),
      (i) => shown(to(i)),
    )
      .digits(1)
      .defined(defined)(indices) ?? ''
  return {
    x,
    y,
    xOf,
    xAt,
    yAt,
    sampleAt,
    bottom,
    distanceSymbol: units === 'metric' ? 'km' : 'mi',
    ground:
      area<number>(xAt, bottom - STRIPS, (i) => yAt(groundM[i]))
        .digits(1)
        .defined(hasGround)(indices) ?? '',
    cover: between(
      (i) => groundM[i],
      (i) => surfaceM[i],
      hasGround,
    ),
    corridor: between(floor, ceiling, (i) => hasFloor(i) && isOpen(i)),
    closed: between(
      (i) => groundM[i],
      ceiling,
      (i) => hasFloor(i) && !isOpen(i),
    ),
    floor: path(floor, (i) => floor(i) < Infinity),
    otherFloors: FLOOR_KINDS.filter((kind) => kind !== limits.floorKind).map((kind) => {
      const height = (i: number) => (air ? groundM[i] + Math.max(0, floorAt(air, kind, i)) : NaN)
      return { kind, path: path(height, (i) => height(i) < Infinity) }
    }),
    ceiling: path(ceiling, hasGround),
    flown: path((i) => flownM[i], hasGround),
  }
}
