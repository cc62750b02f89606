import {
  COMPASS,
  HORIZON_MIDDLE,
  HORIZON_RIM,
  HORIZON_SIZE,
  layoutHorizon,
} from '../../core/chart/horizonLayout'
import { geodesic } from '../../core/geodesy/geodesic'
import type { Horizon } from '../../core/coverage/horizon'
import { coverage } from '../state/coverage'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { formatDistance, formatNumber, type Units } from '../../core/words/units'
import { pointedDirection } from '../state/horizon'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** The skyline around the launch point: how high it stands in every direction, and how far off. */
export function HorizonSection() {
  const horizon = coverage.value?.horizon
  const { units } = preferences.value
  return (
    <Section title={say('horizon.horizon')} summary={horizon ? summary(horizon) : ''}>
      {horizon && <HorizonChart horizon={horizon} units={units} />}
    </Section>
  )
}

function summary({ elevationDeg }: Horizon): string {
  const highest = elevationDeg.reduce((a, b) => Math.max(a, b), -90)
  return say('horizon.up', { highest: formatNumber(highest, 0) })
}

function HorizonChart({ horizon, units }: { horizon: Horizon; units: Units }) {
  const { elevationDeg, distanceM } = horizon
  const count = elevationDeg.length
  const { radius, at, ground, rings } = layoutHorizon(horizon)
  const { target, launch, sector } = setup.value
  const targetDeg = target && geodesic(launch, target).bearingDeg
  const index = pointedDirection.value
  const choose = (next: number | null) => (pointedDirection.value = next)
  const words = (i: number) =>
    say('horizon.skylineUp', {
      i: formatNumber((360 * i) / count, 0),
      elevationDeg: formatNumber(elevationDeg[i], 1),
    }) +
    (Number.isNaN(distanceM[i])
      ? ''
      : say('horizon.off', { distanceM: formatDistance(distanceM[i], units) }))
  return (
    <>
      <svg
        class="horizon"
        viewBox={`0 0 ${HORIZON_SIZE} ${HORIZON_SIZE}`}
        role="slider"
        tabindex={0}
        aria-label={say('horizon.azimuthAroundLaunchPoint')}
        aria-valuemin={0}
        aria-valuemax={count - 1}
        aria-valuenow={index ?? 0}
        aria-valuetext={index === null ? say('common.nothingChosen') : words(index)}
        onPointerMove={(event) => {
          const box = event.currentTarget.getBoundingClientRect()
          const x = event.clientX - box.left - box.width / 2
          const y = event.clientY - box.top - box.height / 2
          const turn = ((Math.atan2(x, -y) * 180) / Math.PI + 360) % 360
          choose(Math.round((turn * count) / 360) % count)
        }}
        onPointerLeave={() => choose(null)}
        onBlur={() => choose(null)}
        onKeyDown={(event) => {
          const step = { ArrowRight: 1, ArrowLeft: -1, PageUp: 15, PageDown: -15 }[event.key]
          if (step === undefined) return
          choose(((index ?? 0) + step + count) % count)
          event.preventDefault()
        }}
      >
        <circle class="horizon-sky" cx={HORIZON_MIDDLE} cy={HORIZON_MIDDLE} r={HORIZON_RIM} />
        {sector && <path class="horizon-sector" d={wedge(sector, at)} />}
        <path class="horizon-ground" fill-rule="evenodd" d={ground} />
        {rings.map((ring) => (
          <g key={ring}>
            <circle class="horizon-ring" cx={HORIZON_MIDDLE} cy={HORIZON_MIDDLE} r={radius(ring)} />
            <text
              class="horizon-ring-name"
              x={HORIZON_MIDDLE + 3}
              y={HORIZON_MIDDLE - radius(ring) + 11}
            >
              {ring}°
            </text>
          </g>
        ))}
        {[0, 90, 180, 270].map((azimuthDeg, i) => {
          const [x, y] = at(azimuthDeg, HORIZON_RIM + 13)
          return (
            <text key={azimuthDeg} class="horizon-name" x={x} y={y} dy="0.35em">
              {say(COMPASS[i])}
            </text>
          )
        })}
        {targetDeg !== null && (
          <line class="horizon-target" {...ends(at(targetDeg, 0), at(targetDeg, HORIZON_RIM))} />
        )}
        {index !== null && (
          <line
            class="horizon-cursor"
            {...ends(at((360 * index) / count, 0), at((360 * index) / count, HORIZON_RIM))}
          />
        )}
      </svg>
      <p class="section-note horizon-words">
        {index === null ? say('horizon.levelRimSteeperFarther') : words(index)}
      </p>
    </>
  )
}

type PointAt = (azimuthDeg: number, r: number) => readonly [number, number]

function ends([x1, y1]: readonly [number, number], [x2, y2]: readonly [number, number]) {
  return { x1, y1, x2, y2 }
}

/** The part of the sky that a sector covers. */
function wedge({ azimuthDeg, widthDeg }: { azimuthDeg: number; widthDeg: number }, at: PointAt) {
  const [x1, y1] = at(azimuthDeg - widthDeg / 2, HORIZON_RIM)
  const [x2, y2] = at(azimuthDeg + widthDeg / 2, HORIZON_RIM)
  return `M${HORIZON_MIDDLE} ${HORIZON_MIDDLE}L${x1} ${y1}A${HORIZON_RIM} ${HORIZON_RIM} 0 ${widthDeg > 180 ? 1 : 0} 1 ${x2} ${y2}Z`
}
