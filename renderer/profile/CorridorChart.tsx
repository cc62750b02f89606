import { useMemo } from 'preact/hooks'
import {
  FLOOR_KINDS,
  type Conflict,
  type FloorKind,
  type RouteAir,
} from '../../core/route/corridor'
import type { RouteLine } from '../../core/route/routeLine'
import { marginClass } from '../../core/radio/margin'
import { CONFLICT_COLOURS } from '../map/routeLayer'
import { LINK_NAMES } from '../state/links'
import { preferences } from '../state/preferences'
import { conflicts, flownSample, routeAir, shownSample, turns } from '../state/route'
import { CONFLICT_NAMES, conflictWords } from '../../core/words/routeWords'
import { setup } from '../state/setup'
import { formatDistance, formatHeight, HEIGHT_UNIT } from '../../core/words/units'
import { layoutCorridor } from '../../core/chart/corridorLayout'
import { MARGIN } from '../../core/chart/profileLayout'
import { ChartBox, ChartGrid, slides } from './ChartBox'
import { say, type TextKey } from '../../core/words/say'
import { PIECE, SIGNAL_COLOURS } from './signalStrips'

type Layout = ReturnType<typeof layoutCorridor>

/** The route unrolled: ground, link floor, ceiling and the flown line; what is wrong below. */
export function CorridorChart({ line }: { line: RouteLine }) {
  return <ChartBox draw={(size) => <Drawing line={line} {...size} />} />
}

function Drawing({ line, width, height }: { line: RouteLine; width: number; height: number }) {
  const { units } = preferences.value
  const air = routeAir.value
  const { limits } = setup.value
  const layout = useMemo(
    () => layoutCorridor(line, air, limits, width, height, units),
    [line, air, limits, width, height, units],
  )
  const { x, y, xAt, bottom, sampleAt, distanceSymbol } = layout
  const count = line.distanceM.length
  const sample = flownSample.value
  return (
    <svg
      width={width}
      height={height}
      role="slider"
      tabindex={0}
      aria-label={say('corridorChart.placeAlongRoute')}
      aria-valuemin={0}
      aria-valuemax={Math.round(line.distanceM[count - 1])}
      aria-valuenow={Math.round(sample === null ? 0 : line.distanceM[sample])}
      aria-valuetext={
        sample === null
          ? say('common.nothingChosen')
          : say('corridorChart.aboveGround', {
              distanceM: formatDistance(line.distanceM[sample], units),
              flownM: formatHeight(line.flownM[sample] - line.groundM[sample], units),
            })
      }
      {...slides(shownSample, count, width, sampleAt)}
    >
      <ChartGrid
        width={width}
        height={height}
        bottom={bottom}
        x={x}
        y={y}
        xName={say('common.distanceFlown', { distanceSymbol })}
        yName={say('common.amsl', { symbol: HEIGHT_UNIT[units].symbol })}
      />
      <LineNames x={MARGIN.left} y={height - 4} isShort={width < 520} />
      <path class="corridor-closed" d={layout.closed} />
      <path class="corridor-open" d={layout.corridor} />
      <path class="cover" d={layout.cover} />
      <path class="ground" d={layout.ground} />
      <path class="corridor-ceiling" d={layout.ceiling} />
      {layout.otherFloors.map(({ kind, path }) => (
        <path key={kind} class={`corridor-other corridor-${kind}`} d={path} />
      ))}
      <path class="corridor-floor" d={layout.floor} />
      <Stations line={line} layout={layout} />
      <Turns line={line} layout={layout} />
      <path class="ray" fill="none" d={layout.flown} />
      <Strips line={line} air={air} layout={layout} />
      <Troubles found={conflicts.value} layout={layout} />
      {sample !== null && (
        <g class="cursor">
          <line x1={xAt(sample)} x2={xAt(sample)} y1={MARGIN.top} y2={bottom} />
          <circle cx={xAt(sample)} cy={layout.yAt(line.flownM[sample])} r={5.5} />
        </g>
      )}
    </svg>
  )
}

const FLOOR_WORDS: Readonly<Record<FloorKind, TextKey>> = {
  margin: 'corridorChart.wantedMargin',
  fresnel: 'common.fresnel',
  sight: 'common.sight',
}

/** What the lines are, under the chart. */
function LineNames({ x, y, isShort }: { x: number; y: number; isShort: boolean }) {
  const { floorKind } = setup.value.limits
  const others = isShort ? [] : FLOOR_KINDS.filter((kind) => kind !== floorKind)
  return (
    <text class="line-names" x={x} y={y}>
      <tspan class="name-flown">{say('corridorChart.flown')}</tspan>
      <tspan class="name-ceiling" dx="9">
        {say('corridorChart.ceiling')}
      </tspan>
      <tspan class="name-floor" dx="9">
        {say('corridorChart.floor', { floor: say(FLOOR_WORDS[floorKind]) })}
      </tspan>
      {others.map((kind) => (
        <tspan key={kind} class="name-other" dx="9">
          {say(FLOOR_WORDS[kind])}{' '}
          {kind === 'sight'
            ? say('corridorChart.dots')
            : kind === 'fresnel'
              ? say('corridorChart.dashes')
              : say('corridorChart.thin')}
        </tspan>
      ))}
    </text>
  )
}

/** Labels nearer than this to the one before are left out, pixels. */
const LABEL_GAP = 17

/** Numbers of the waypoints along the top. */
function Stations({ line, layout }: { line: RouteLine; layout: Layout }) {
  let last = -Infinity
  return (
    <g class="stations">
      {line.stations.map(({ waypoint, sample, amslM }, i) => {
        const x = layout.xAt(sample)
        const isLabelled = x - last > LABEL_GAP
        if (isLabelled) last = x
        return (
          <g key={i}>
            <circle cx={x} cy={layout.yAt(amslM)} r={3} />
            {isLabelled && (
              <text x={x} y={MARGIN.top - 6} text-anchor="middle">
                {waypoint === null ? '⌂' : waypoint + 1}
              </text>
            )}
          </g>
        )
      })}
    </g>
  )
}

/** Where to turn at the latest. */
function Turns({ line, layout }: { line: RouteLine; layout: Layout }) {
  const found = turns.value
  if (!found) return null
  const marks = (['retraced', 'straight'] as const).flatMap((way) => {
    const turn = found[way]
    return turn && !turn.isEnd ? [{ way, x: layout.xAt(turn.sample) }] : []
  })
  const middle = layout.xOf(line.distanceM[line.distanceM.length - 1] / 2)
  return (
    <g class="turns">
      {marks.map(({ way, x }, i) => (
        <g key={way}>
          <line x1={x} x2={x} y1={MARGIN.top + 2} y2={layout.bottom} />
          <text
            x={x + (x > middle ? -5 : 5)}
            y={MARGIN.top + 12 + i * 14}
            text-anchor={x > middle ? 'end' : 'start'}
          >
            {way === 'retraced' ? say('common.turnMarkWayBack') : say('common.turnMarkStraight')}
          </text>
        </g>
      ))}
    </g>
  )
}

const STRIP = 6

/** The signal of both links at the flown line. */
function Strips({ line, air, layout }: { line: RouteLine; air: RouteAir | null; layout: Layout }) {
  if (!air) return null
  const [from, to] = [layout.xAt(0), layout.xAt(line.distanceM.length - 1)]
  return (
    <g class="signal-strips">
      {LINK_NAMES.map((name, row) => {
        const margins = name === 'video' ? air.videoDb : air.controlDb
        const { fadeMarginDb } = setup.value[name]
        const y = layout.bottom - (2 - row) * (STRIP + 1)
        const classAt = (pixel: number) => {
          const margin = margins[layout.sampleAt(pixel)]
          return Number.isNaN(margin) ? null : marginClass(margin, fadeMarginDb)
        }
        return (
          <g key={name}>
            {runsOf(classAt, from, to).map(({ start, end, kind }) => (
              <rect
                key={start}
                x={start}
                y={y}
                width={end - start}
                height={STRIP}
                fill={SIGNAL_COLOURS[kind]}
              />
            ))}
            <text x={to + 3} y={y + STRIP}>
              {name === 'video' ? 'V' : 'C'}
            </text>
          </g>
        )
      })}
    </g>
  )
}

/** Stretches of pixels of one class each; those without are left out. */
function runsOf(classAt: (pixel: number) => number | null, from: number, to: number) {
  const runs: { start: number; end: number; kind: number }[] = []
  for (let start = from; start < to; start += PIECE) {
    const end = Math.min(to, start + PIECE)
    const kind = classAt((start + end) / 2)
    const last = runs[runs.length - 1]
    if (last && last.kind === kind && last.end === start) last.end = end
    else if (kind !== null) runs.push({ start, end, kind })
  }
  return runs
}

/** Stretches where something is wrong, as bars over the strips. */
function Troubles({ found, layout }: { found: readonly Conflict[]; layout: Layout }) {
  const { units } = preferences.value
  const { floorKind } = setup.value.limits
  const y = layout.bottom - 2 * (STRIP + 1) - 9
  return (
    <g class="troubles">
      {found.map((conflict, i) => (
        <rect
          key={i}
          x={layout.xOf(conflict.fromM)}
          y={y}
          width={Math.max(3, layout.xOf(conflict.toM) - layout.xOf(conflict.fromM))}
          height={7}
          fill={CONFLICT_COLOURS[conflict.kind]}
        >
          <title>
            {say(CONFLICT_NAMES[conflict.kind])}, {conflictWords(conflict, floorKind, units)}
          </title>
        </rect>
      ))}
    </g>
  )
}
