import type { Reckoning } from '../plan/reckoning'
import {
  batteryWords,
  formatDuration,
  formatMah,
  mahWithSpread,
  turnWords,
  verdictOn,
} from '../words/routeWords'
import { formatDistance, formatHeight, formatNumber, formatSpeed } from '../words/units'
import { Spot, type PartProps } from './parts'
import { degreesWords, type BriefWords } from './words'

/** What must be known by heart: where to turn, what is left, where to stand. */
export function Key({ brief, words }: PartProps) {
  const { plan, launch, reckoning, errorM } = brief
  const { units } = words
  const found = reckoning && typeof reckoning !== 'string' ? reckoning : null
  const { speedMs, fromDeg, atHeightM } = plan.wind
  return (
    <section class="key" aria-label="Key figures">
      {found && (
        <Turning
          found={found}
          leastCellV={plan.battery.leastCellV}
          spreadShare={plan.aircraft.currentSpreadShare}
          words={words}
        />
      )}
      <dl>
        <dt>Launch point</dt>
        <dd>
          <Spot at={launch} words={words} />, ground {formatHeight(launch.groundM, units)} AMSL,
          antenna {formatHeight(plan.antennaHeightM, units, 1)} up
        </dd>
        {found && (
          <>
            <dt>Ceiling, clearance</dt>
            <dd>
              {formatHeight(plan.limits.ceilingM, units)} AGL,{' '}
              {formatHeight(plan.limits.clearanceM, units)} over everything
            </dd>
          </>
        )}
        <dt>Wind planned with</dt>
        <dd>
          {speedMs === 0
            ? 'calm'
            : `${formatSpeed(speedMs, units)} from ${degreesWords(fromDeg)}, ${formatHeight(atHeightM, units)} above ground`}
        </dd>
        <dt>Aircraft, pack</dt>
        <dd>
          {plan.aircraft.name}; {batteryWords(plan.battery)}
        </dd>
        <dt>Terrain error</dt>
        <dd>{formatHeight(errorM, units)} (nine heights of ten)</dd>
      </dl>
    </section>
  )
}

function Turning({
  found,
  leastCellV,
  spreadShare,
  words,
}: {
  found: Reckoning
  leastCellV: number
  spreadShare: number | null
  words: BriefWords
}) {
  const { line, flight, turns, flyer } = found
  const { units } = words
  const last = line.distanceM.length - 1
  const end = flight.landed ?? { timeS: flight.timeS[last], takenMah: flight.takenMah[last] }
  const refusal = flight.legs.find((leg) => typeof leg === 'string')
  const [kind, verdict] =
    refusal === undefined ? verdictOn(found, end.takenMah) : ['blocked', 'Cannot be flown as drawn']
  return (
    <>
      <div class="turn-by">
        <p>
          <b>Turn by, way back</b>
          <strong>{turnWords(turns.retraced, units)}</strong>
        </p>
        <p>
          <b>Turn by, straight</b>
          <strong>{turnWords(turns.straight, units)}</strong>
        </p>
        <p>
          <b>{flight.landed ? 'Landed' : 'At the end'}</b>
          <strong>
            {refusal === undefined
              ? `${formatDistance(line.distanceM[last], units)}, ${formatDuration(end.timeS)}, ${mahWithSpread(end.takenMah, spreadShare)}`
              : '–'}
          </strong>
        </p>
        <p>
          <b>Reserve begins at</b>
          <strong>
            {formatMah(flyer.pack.budgetMah)} of {formatMah(flyer.pack.usableMah)}
          </strong>
        </p>
      </div>
      {spreadShare !== null && (
        <p class="small">± by the scatter of whole minutes of a flight (one standard deviation).</p>
      )}
      <p class={kind === 'blocked' ? 'verdict alarm' : 'verdict'}>
        {verdict}. {refusal ?? ''}
      </p>
      {flight.sagSample !== null && (
        <p class="alarm">
          The pack sags under {formatNumber(leastCellV, 2)} V a cell from{' '}
          {formatDistance(line.distanceM[flight.sagSample], units)} on.
        </p>
      )}
    </>
  )
}
