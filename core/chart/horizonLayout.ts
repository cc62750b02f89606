import type { Horizon } from '../coverage/horizon'

/** Names of the four directions, clockwise from north. */
export const COMPASS = ['compass.north', 'compass.east', 'compass.south', 'compass.west'] as const

/** Edge of the chart, its middle, and the circle that is the level. */
export const HORIZON_SIZE = 288
export const HORIZON_MIDDLE = HORIZON_SIZE / 2
export const HORIZON_RIM = 118
/** The rings end where the steepest ground does, on a multiple of this, degrees. */
const RING_DEG = 5

/** A skyline around its middle: the rim is the level, straight up lies toward the middle. */
export function layoutHorizon({ elevationDeg }: Horizon) {
  const count = elevationDeg.length
  const highest = elevationDeg.reduce((a, b) => Math.max(a, b), 0)
  const top = Math.max(2 * RING_DEG, Math.ceil((highest * 1.15) / RING_DEG) * RING_DEG)
  const radius = (degrees: number) => HORIZON_RIM * (1 - (0.86 * Math.max(0, degrees)) / top)
  const at = (azimuthDeg: number, r: number) => {
    const turn = (azimuthDeg * Math.PI) / 180
    return [HORIZON_MIDDLE + r * Math.sin(turn), HORIZON_MIDDLE - r * Math.cos(turn)] as const
  }
  const path = Array.from(elevationDeg, (degrees, i) => {
    const [x, y] = at((360 * i) / count, radius(degrees))
    return `${i === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`
  }).join('')
  const rim = `M${HORIZON_MIDDLE} ${HORIZON_MIDDLE - HORIZON_RIM}a${HORIZON_RIM} ${HORIZON_RIM} 0 1 0 .01 0Z`
  const rings = Array.from({ length: Math.floor(top / RING_DEG) }, (_, i) => (i + 1) * RING_DEG)
  return {
    radius,
    at,
    /** The ground between the level and the skyline, to be filled by the even-odd rule. */
    ground: `${rim}${path}Z`,
    rings: rings.filter((ring) => ring % (top > 30 ? 2 * RING_DEG : RING_DEG) === 0),
  }
}
