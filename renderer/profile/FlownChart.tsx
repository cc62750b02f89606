import { useMemo } from 'preact/hooks'
import { layoutFlown, type TimeSeries } from '../../core/chart/flownLayout'
import { MARGIN } from '../../core/chart/profileLayout'
import { NO_WAY, type Predicted } from '../../core/log/predicted'
import { WAY_STYLES } from '../../core/words/flownWords'
import { formatDuration } from '../../core/words/routeWords'
import { formatNumber } from '../../core/words/units'
import type { FlightLog } from '../../core/log/flightLog'
import { shownMoment } from '../state/flown'
import { ChartBox, ChartGrid, slides } from './ChartBox'
import { say } from '../../core/words/say'
import { PIECE } from './signalStrips'

/** A level drawn across the chart. */
interface Level {
  readonly value: number
  readonly name: string
}

interface FlownChartProps {
  readonly found: { readonly log: FlightLog; readonly predicted: Predicted }
  /** What was recorded and what was expected, both along the time since the flight began. */
  readonly measured: TimeSeries
  readonly expected: TimeSeries
  readonly unit: string
  readonly levels: readonly Level[]
  readonly expectedName: string
}

const STRIP = 9

/** What was measured along the flight, with what was expected and the kind of way below. */
export function FlownChart(props: FlownChartProps) {
  return <ChartBox draw={(size) => <Drawing {...props} {...size} />} />
}

type DrawingProps = FlownChartProps & { readonly width: number; readonly height: number }

function Drawing(props: DrawingProps) {
  const { found, measured, expected, unit, levels, expectedName, width, height } = props
  const layout = useMemo(
    () =>
      layoutFlown(
        measured,
        expected,
        levels.map(({ value }) => value),
        width,
        height,
        STRIP + 6,
      ),
    [measured, expected, levels, width, height],
  )
  const { x, y, xOf, bottom, entryAt } = layout
  const { timeS } = measured
  const moment = shownMoment.value
  const at = moment === null ? null : Math.min(moment, timeS.length - 1)
  return (
    <svg
      width={width}
      height={height}
      role="slider"
      tabindex={0}
      aria-label={say('flownChart.momentFlight')}
      aria-valuemin={0}
      aria-valuemax={Math.round(timeS[timeS.length - 1])}
      aria-valuenow={at === null ? 0 : Math.round(timeS[at])}
      aria-valuetext={
        at === null
          ? say('common.nothingChosen')
          : say('flownChart.measured', {
              timeS: formatDuration(timeS[at]),
              values: wordsOf(measured.values[at], unit),
            })
      }
      {...slides(shownMoment, timeS.length, width, entryAt)}
    >
      <ChartGrid
        width={width}
        height={height}
        bottom={bottom}
        x={x}
        y={y}
        xName={say('flownChart.minFlown')}
        yName={unit}
      />
      <text class="line-names" x={MARGIN.left} y={height - 4}>
        <tspan class="name-measured">{say('flownChart.measuredKey')}</tspan>
        <tspan class="name-expected" dx="9">
          {expectedName}
        </tspan>
      </text>
      {levels.map(({ value, name }) => (
        <g key={name} class="flown-level">
          <line x1={MARGIN.left} x2={width - MARGIN.right} y1={y(value)} y2={y(value)} />
          <text x={width - MARGIN.right - 4} y={y(value) - 4} text-anchor="end">
            {name}
          </text>
        </g>
      ))}
      <path class="flown-band" d={layout.band} />
      <path class="flown-expected" d={layout.predicted} />
      <path class="flown-measured" d={layout.measured} />
      <g class="flown-ways">
        {waysOf(found, xOf, entryAt).map(({ start, end, kind }) => (
          <rect
            key={start}
            x={start}
            y={bottom - STRIP}
            width={end - start}
            height={STRIP}
            fill={WAY_STYLES[kind].colour}
          />
        ))}
      </g>
      {at !== null && (
        <g class="cursor">
          <line x1={xOf(timeS[at])} x2={xOf(timeS[at])} y1={MARGIN.top} y2={bottom} />
          {!Number.isNaN(measured.values[at]) && (
            <circle cx={xOf(timeS[at])} cy={y(measured.values[at])} r={5.5} />
          )}
        </g>
      )}
    </svg>
  )
}

function wordsOf(value: number, unit: string): string {
  return Number.isNaN(value) ? say('common.none') : `${formatNumber(value, 0)} ${unit}`
}

/** Stretches of pixels with one kind of way; those without an answer are left out. */
function waysOf(
  { log: { timeS }, predicted: { kind } }: FlownChartProps['found'],
  xOf: (seconds: number) => number,
  entryAt: (pixel: number) => number,
) {
  const runs: { start: number; end: number; kind: number }[] = []
  const until = xOf(timeS[timeS.length - 1])
  for (let start = xOf(0); start < until; start += PIECE) {
    const end = Math.min(until, start + PIECE)
    const its = kind[entryAt((start + end) / 2)]
    const last = runs.at(-1)
    if (last && last.kind === its && last.end === start) last.end = end
    else if (its !== NO_WAY) runs.push({ start, end, kind: its })
  }
  return runs
}
