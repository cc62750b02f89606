import {
  COMPASS,
  HORIZON_MIDDLE,
  HORIZON_RIM,
  HORIZON_SIZE,
  layoutHorizon,
} from '../chart/horizonLayout'
import { say } from '../words/say'
import type { Horizon } from '../coverage/horizon'

/** The skyline around the launch point, with the way of every waypoint. */
export function HorizonDrawing({
  horizon,
  bearingsDeg,
}: {
  horizon: Horizon
  bearingsDeg: readonly number[]
}) {
  const { at, radius, ground, rings } = layoutHorizon(horizon)
  return (
    <svg
      class="horizon"
      viewBox={`0 0 ${HORIZON_SIZE} ${HORIZON_SIZE}`}
      role="img"
      aria-label={say('horizonDrawing.skylineAroundLaunchPoint')}
    >
      <path class="skyline" fill-rule="evenodd" d={ground} />
      {rings.map((ring) => (
        <g key={ring}>
          <circle class="ring" cx={HORIZON_MIDDLE} cy={HORIZON_MIDDLE} r={radius(ring)} />
          <text x={HORIZON_MIDDLE + 3} y={HORIZON_MIDDLE - radius(ring) + 11}>
            {ring}°
          </text>
        </g>
      ))}
      {COMPASS.map((name, i) => {
        const [x, y] = at(90 * i, HORIZON_RIM + 13)
        return (
          <text key={name} class="compass" x={x} y={y} dy="0.35em" text-anchor="middle">
            {say(name)}
          </text>
        )
      })}
      {bearingsDeg.map((bearing, i) => {
        const [x1, y1] = at(bearing, HORIZON_RIM * 0.14)
        const [x2, y2] = at(bearing, HORIZON_RIM)
        return <line key={i} class="toward" x1={x1} y1={y1} x2={x2} y2={y2} />
      })}
    </svg>
  )
}
