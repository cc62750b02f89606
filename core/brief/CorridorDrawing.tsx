import { layoutCorridor } from '../chart/corridorLayout'
import { MARGIN } from '../chart/profileLayout'
import type { Plan } from '../plan/plan'
import type { Reckoning } from '../plan/reckoning'
import { formatNumber, HEIGHT_UNIT } from '../words/units'
import { say } from '../words/say'
import type { BriefWords } from './words'

const WIDTH = 700
const HEIGHT = 270
/** Numbers nearer than this to the one before are left out. */
const NUMBER_GAP = 17

interface CorridorDrawingProps {
  readonly plan: Plan
  readonly found: Reckoning
  readonly words: BriefWords
}

/** The route unrolled: ground, floor, ceiling, flown line, turning points and conflicts. */
export function CorridorDrawing({ plan, found, words }: CorridorDrawingProps) {
  const { line, air, turns, conflicts } = found
  const layout = layoutCorridor(line, air, plan.limits, WIDTH, HEIGHT, words.units)
  const { x, y, xAt, xOf, yAt, bottom } = layout
  const marks = (['retraced', 'straight'] as const).flatMap((way) => {
    const turn = turns[way]
    return turn && !turn.isEnd ? [{ way, at: xAt(turn.sample) }] : []
  })
  let last = -Infinity
  return (
    <figure class="corridor">
      <svg
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={say('corridorDrawing.corridorAlongRoute')}
      >
        <defs>
          <pattern id="closed" width="6" height="6" patternUnits="userSpaceOnUse">
            <path d="M0 6L6 0" class="hatch" />
          </pattern>
        </defs>
        {y.ticks(5).map((tick) => (
          <g key={tick} transform={`translate(0 ${y(tick)})`}>
            <path class="grid" d={`M${MARGIN.left} 0H${WIDTH - MARGIN.right}`} />
            <text x={MARGIN.left - 6} dy="0.32em" text-anchor="end">
              {formatNumber(tick, 0)}
            </text>
          </g>
        ))}
        {x.ticks(8).map((tick) => (
          <text key={tick} x={x(tick)} y={bottom + 15} text-anchor="middle">
            {tick}
          </text>
        ))}
        <text x={MARGIN.left - 6} y={10} text-anchor="end">
          {say('common.amsl', { symbol: HEIGHT_UNIT[words.units].symbol })}
        </text>
        <text x={WIDTH - MARGIN.right} y={HEIGHT - 4} text-anchor="end">
          {say('common.distanceFlown', { distanceSymbol: layout.distanceSymbol })}
        </text>
        <text x={MARGIN.left} y={HEIGHT - 4}>
          {say('corridorDrawing.thickFlownDashesCeiling')}
        </text>
        <path class="corridor-open" d={layout.corridor} />
        <path fill="url(#closed)" d={layout.closed} />
        <path class="cover" d={layout.cover} />
        <path class="ground" d={layout.ground} />
        <path class="ceiling" d={layout.ceiling} />
        <path class="floor" d={layout.floor} />
        <path class="flown" d={layout.flown} />
        {marks.map(({ way, at }) => (
          <g key={way} class="turn">
            <path d={`M${at} ${MARGIN.top}V${bottom}`} />
            <text
              x={at + (at > WIDTH / 2 ? -4 : 4)}
              y={MARGIN.top + (way === 'straight' ? 26 : 11)}
              text-anchor={at > WIDTH / 2 ? 'end' : 'start'}
            >
              {way === 'retraced'
                ? say('corridorDrawing.turnWayBack')
                : say('corridorDrawing.turnStraight')}
            </text>
          </g>
        ))}
        {line.stations.map(({ waypoint, sample, amslM }, i) => {
          const at = xAt(sample)
          const isNumbered = at - last > NUMBER_GAP
          if (isNumbered) last = at
          return (
            <g key={i} class="station">
              <circle cx={at} cy={yAt(amslM)} r={3} />
              {isNumbered && (
                <text x={at} y={MARGIN.top - 8} text-anchor="middle">
                  {waypoint === null ? 'L' : waypoint + 1}
                </text>
              )}
            </g>
          )
        })}
        {conflicts.map(({ fromM, toM }, i) => (
          <rect
            key={i}
            class="conflict"
            x={xOf(fromM)}
            y={bottom - 10}
            width={Math.max(3, xOf(toM) - xOf(fromM))}
            height={7}
          />
        ))}
      </svg>
    </figure>
  )
}
