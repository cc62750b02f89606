import { useMemo } from 'preact/hooks'
import type { PathProfile } from '../../core/propagation/path'
import { preferences } from '../state/preferences'
import { marginClass } from '../../core/radio/margin'
import { LINK_NAMES } from '../state/links'
import { marginsAlong } from '../state/margin'
import { setup } from '../state/setup'
import { pointedSample, profileSample } from '../state/site'
import { formatDistance, formatHeight, formatNumber, HEIGHT_UNIT } from '../../core/words/units'
import { layoutProfile, MARGIN } from '../../core/chart/profileLayout'
import { ChartBox, ChartGrid, stepOfKey } from './ChartBox'
import { say } from '../../core/words/say'
import { PIECE, SIGNAL_COLOURS } from './signalStrips'

/**
 * The profile drawn to scale: ground raised by the curved Earth, so that the ray is straight;
 * the first Fresnel zone with its usual core; the tightest place marked.
 */
export function ProfileChart({ path }: { path: PathProfile }) {
  return <ChartBox draw={(size) => <Drawing path={path} {...size} />} />
}

function Drawing({ path, width, height }: { path: PathProfile; width: number; height: number }) {
  const { units } = preferences.value
  const layout = useMemo(
    () => layoutProfile(path, width, height, units),
    [path, width, height, units],
  )
  const { x, y, xAt, yAt, surface, bottom, distanceSymbol } = layout
  const { samples } = path
  const { distanceM, rayM } = samples
  const count = distanceM.length

  const worst = path.inSight === false ? path.worstClearance : path.worstFresnel
  const cursor = profileSample.value
  const point = (clientX: number, element: SVGElement) => {
    const offset = clientX - element.getBoundingClientRect().left
    const t = (offset - MARGIN.left) / (width - MARGIN.left - MARGIN.right)
    pointedSample.value = Math.round(Math.min(1, Math.max(0, t)) * (count - 1))
  }
  const step = (by: number) => {
    const from = cursor ?? worst?.sample ?? 0
    pointedSample.value = Math.min(count - 1, Math.max(0, from + by))
  }
  const worstWords = !worst
    ? ''
    : path.inSight === false
      ? say('profileChart.tooLowHere', { worst: formatHeight(-worst.value, units) })
      : say('profileChart.tightestF1', { worst: formatNumber(worst.value, 2) })
  return (
    <svg
      width={width}
      height={height}
      role="slider"
      tabindex={0}
      aria-label={say('profileChart.placeAlongProfile')}
      aria-valuemin={0}
      aria-valuemax={Math.round(path.distanceM)}
      aria-valuenow={Math.round(cursor === null ? 0 : distanceM[cursor])}
      aria-valuetext={
        cursor === null
          ? say('common.nothingChosen')
          : say('profileChart.clearance', {
              distanceM: formatDistance(distanceM[cursor], units),
              clearanceM: formatHeight(samples.clearanceM[cursor], units),
            })
      }
      onPointerMove={(event) => {
        // Browsers repeat a still pointer's place after a change of layout; keys come first then.
        if (event.movementX === 0 && event.movementY === 0) return
        point(event.clientX, event.currentTarget)
      }}
      onPointerLeave={() => (pointedSample.value = null)}
      onKeyDown={(event) => {
        const by = stepOfKey(event.key, count, 100)
        if (by !== null) step(by)
        else if (event.key === 'Escape') pointedSample.value = null
        else return
        event.preventDefault()
      }}
    >
      <ChartGrid
        width={width}
        height={height}
        bottom={bottom}
        x={x}
        y={y}
        xName={say('profileChart.launchPoint', { distanceSymbol })}
        yName={say('common.amsl', { symbol: HEIGHT_UNIT[units].symbol })}
      />
      <path class="zone" d={layout.zone} />
      <path class="zone-core" d={layout.zoneCore} />
      <path class="cover" d={layout.cover} />
      <path class="ground" d={layout.ground} />
      <path class="skyline" d={layout.skyline} />
      <line
        class="ray"
        x1={xAt(0)}
        y1={yAt(rayM[0])}
        x2={xAt(count - 1)}
        y2={yAt(rayM[count - 1])}
      />
      {worst && (
        <g class="worst">
          <line
            x1={xAt(worst.sample)}
            x2={xAt(worst.sample)}
            y1={yAt(rayM[worst.sample])}
            y2={yAt(surface(worst.sample))}
          />
          <circle cx={xAt(worst.sample)} cy={yAt(surface(worst.sample))} r={4.5} />
          <text
            x={xAt(worst.sample) + (xAt(worst.sample) > width * 0.75 ? -9 : 9)}
            y={Math.max(
              MARGIN.top + 6,
              yAt(Math.max(rayM[worst.sample], surface(worst.sample))) - 8,
            )}
            text-anchor={xAt(worst.sample) > width * 0.75 ? 'end' : 'start'}
          >
            {worstWords}
          </text>
        </g>
      )}
      <SignalStrips path={path} from={xAt(0)} to={xAt(count - 1)} bottom={bottom} />
      <circle class="end-launch" cx={xAt(0)} cy={yAt(rayM[0])} r={5} />
      <rect
        class="end-target"
        x={xAt(count - 1) - 5}
        y={yAt(rayM[count - 1]) - 5}
        width={10}
        height={10}
        rx={2}
      />
      {cursor !== null && (
        <g class="cursor">
          <line x1={xAt(cursor)} x2={xAt(cursor)} y1={MARGIN.top} y2={bottom} />
          <circle cx={xAt(cursor)} cy={yAt(rayM[cursor])} r={5} />
        </g>
      )}
    </svg>
  )
}

const STRIP = 7

/** The signal of both links for an aircraft at the flying height along the path. */
function SignalStrips({
  path,
  from,
  to,
  bottom,
}: {
  path: PathProfile
  from: number
  to: number
  bottom: number
}) {
  const count = Math.max(2, Math.floor((to - from) / PIECE))
  const step = (to - from) / count
  return (
    <g class="signal-strips">
      {LINK_NAMES.map((name, row) => {
        const { fadeMarginDb } = setup.value[name]
        const y = bottom - (2 - row) * (STRIP + 1)
        return (
          <g key={name}>
            {marginsAlong(name, path, count).map(
              (margin, i) =>
                margin !== null && (
                  <rect
                    key={i}
                    x={from + i * step}
                    y={y}
                    width={step + 0.4}
                    height={STRIP}
                    fill={SIGNAL_COLOURS[marginClass(margin, fadeMarginDb)]}
                  />
                ),
            )}
            <text x={to + 3} y={y + STRIP}>
              {name === 'video' ? 'V' : 'C'}
            </text>
          </g>
        )
      })}
    </g>
  )
}
