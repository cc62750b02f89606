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
import { say } from '../words/say'
import { spokenName } from '../words/typicalNames'
import { degreesWords, type BriefWords } from './words'

/** What must be known by heart: where to turn, what is left, where to stand. */
export function Key({ brief, words }: PartProps) {
  const { plan, launch, reckoning, errorM } = brief
  const { units } = words
  const found = reckoning && typeof reckoning !== 'string' ? reckoning : null
  const { speedMs, fromDeg, atHeightM } = plan.wind
  return (
    <section class="key" aria-label={say('keyFigures.keyFigures')}>
      {found && (
        <Turning
          found={found}
          leastCellV={plan.battery.leastCellV}
          spreadShare={plan.aircraft.currentSpreadShare}
          words={words}
        />
      )}
      <dl>
        <dt>{say('common.launchPoint')}</dt>
        <dd>
          <Spot at={launch} words={words} />
          {say('keyFigures.groundAmslAntennaUp', {
            groundM: formatHeight(launch.groundM, units),
            antennaHeightM: formatHeight(plan.antennaHeightM, units, 1),
          })}
        </dd>
        {found && (
          <>
            <dt>{say('keyFigures.ceilingClearance')}</dt>
            <dd>
              {say('keyFigures.aglOverEverything', {
                ceilingM: formatHeight(plan.limits.ceilingM, units),
                clearanceM: formatHeight(plan.limits.clearanceM, units),
              })}
            </dd>
          </>
        )}
        <dt>{say('keyFigures.windPlanned')}</dt>
        <dd>
          {speedMs === 0
            ? say('common.calm')
            : say('keyFigures.aboveGround', {
                speedMs: formatSpeed(speedMs, units),
                fromDeg: degreesWords(fromDeg),
                atHeightM: formatHeight(atHeightM, units),
              })}
        </dd>
        <dt>{say('keyFigures.aircraftPack')}</dt>
        <dd>
          {spokenName(plan.aircraft.name)}; {batteryWords(plan.battery)}
        </dd>
        <dt>{say('common.terrainError')}</dt>
        <dd>{say('keyFigures.nineHeightsTen', { errorM: formatHeight(errorM, units) })}</dd>
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
    refusal === undefined
      ? verdictOn(found, end.takenMah)
      : ['blocked', say('common.cannotFlownDrawn')]
  return (
    <>
      <div class="turn-by">
        <p>
          <b>{say('common.turnWayBack')}</b>
          <strong>{turnWords(turns.retraced, units)}</strong>
        </p>
        <p>
          <b>{say('common.turnStraight')}</b>
          <strong>{turnWords(turns.straight, units)}</strong>
        </p>
        <p>
          <b>{flight.landed ? say('common.landed') : say('common.end')}</b>
          <strong>
            {refusal === undefined
              ? `${formatDistance(line.distanceM[last], units)}, ${formatDuration(end.timeS)}, ${mahWithSpread(end.takenMah, spreadShare)}`
              : '–'}
          </strong>
        </p>
        <p>
          <b>{say('keyFigures.reserveBegins')}</b>
          <strong>
            {say('keyFigures.of', {
              budgetMah: formatMah(flyer.pack.budgetMah),
              usableMah: formatMah(flyer.pack.usableMah),
            })}
          </strong>
        </p>
      </div>
      {spreadShare !== null && <p class="small">{say('keyFigures.scatterWholeMinutesFlight')}</p>}
      <p class={kind === 'blocked' ? 'verdict alarm' : 'verdict'}>
        {verdict}. {refusal ?? ''}
      </p>
      {flight.sagSample !== null && (
        <p class="alarm">
          {say('keyFigures.packSagsUnderV', {
            leastCellV: formatNumber(leastCellV, 2),
            distanceM: formatDistance(line.distanceM[flight.sagSample], units),
          })}
        </p>
      )}
    </>
  )
}
