import { signal } from '@preact/signals'
import { useMemo } from 'preact/hooks'
import { NO_WAY, WAY_KINDS } from '../../core/log/predicted'
import type { Fit } from '../../core/log/robust'
import { WAY_NAMES } from '../../core/words/flownWords'
import { formatDuration, formatMah } from '../../core/words/routeWords'
import {
  formatHeight,
  formatNumber,
  formatShare,
  formatSigned,
  formatSpeed,
} from '../../core/words/units'
import {
  comparison,
  isComparisonCurrent,
  loggedLink,
  shownMoment,
  takeCurrentFit,
  takeSignalFit,
} from '../state/flown'
import { preferences } from '../state/preferences'
import { flight, flyer } from '../state/route'
import { setup } from '../state/setup'
import { say } from '../../core/words/say'
import { FlownChart } from './FlownChart'

type Comparison = Exclude<typeof comparison.value, string | null>
type Tab = 'signal' | 'charge'
const shownTab = signal<Tab>('signal')

/** The flight as it was recorded beside the plan. */
export function FlownPanel() {
  const found = comparison.value
  return (
    <section
      class="profile"
      aria-label={say('flown.flightBesidePlan')}
      aria-busy={!isComparisonCurrent.value}
    >
      {typeof found === 'string' || found === null ? (
        <p class="profile-refusal">{found ?? say('flown.comparingFlight')}</p>
      ) : (
        <>
          {shownTab.value === 'signal' ? (
            <SignalChart found={found} />
          ) : (
            <ChargeChart found={found} />
          )}
          <div class="figures">
            <div
              class="switch figures-tabs route-tabs"
              role="group"
              aria-label={say('common.figures')}
            >
              {(['signal', 'charge'] as const).map((tab) => (
                <button
                  type="button"
                  key={tab}
                  aria-pressed={shownTab.value === tab}
                  onClick={() => (shownTab.value = tab)}
                >
                  {tab === 'signal' ? say('common.signal') : say('common.charge')}
                </button>
              ))}
            </div>
            <Moment found={found} />
            {shownTab.value === 'signal' ? <Signal found={found} /> : <Charge found={found} />}
          </div>
        </>
      )}
    </section>
  )
}

function SignalChart({ found }: { found: Comparison }) {
  const { log, predicted } = found
  const { excessLossDb, sensitivityDbm } = setup.value[loggedLink.value]
  const measured = useMemo(() => ({ timeS: log.timeS, values: log.signalDbm }), [log])
  const expected = useMemo(
    () => ({
      timeS: log.timeS,
      values: predicted.levelDbm.map((level) => level - excessLossDb),
    }),
    [log, predicted, excessLossDb],
  )
  const levels = useMemo(() => [{ value: sensitivityDbm, name: 'sensitivity' }], [sensitivityDbm])
  return (
    <FlownChart
      found={found}
      measured={measured}
      expected={expected}
      unit="dBm"
      levels={levels}
      expectedName={say('flown.predictedFlownTrack')}
    />
  )
}

const NOTHING = new Float64Array(0)

function ChargeChart({ found }: { found: Comparison }) {
  const { log, chargeMah } = found
  const planned = flight.value
  const who = flyer.value
  const measured = useMemo(() => ({ timeS: log.timeS, values: chargeMah }), [log, chargeMah])
  const expected = useMemo(
    () =>
      planned
        ? { timeS: planned.timeS, values: planned.takenMah }
        : { timeS: NOTHING, values: NOTHING },
    [planned],
  )
  const budgetMah = typeof who === 'string' ? null : who.pack.budgetMah
  const levels = useMemo(
    () => (budgetMah === null ? [] : [{ value: budgetMah, name: say('flown.reserveBegins') }]),
    [budgetMah],
  )
  return (
    <FlownChart
      found={found}
      measured={measured}
      expected={expected}
      unit="mAh"
      levels={levels}
      expectedName={planned ? say('flown.planned') : say('flown.noRoutePlanned')}
    />
  )
}

/** What there is to say of the moment looked at. */
function Moment({ found }: { found: Comparison }) {
  const { log, predicted, chargeMah } = found
  const { units } = preferences.value
  const moment = shownMoment.value
  if (moment === null || moment >= log.timeS.length) {
    return <p class="cursor-figures cursor-figures-empty">{say('flown.clickChartAircraftMoves')}</p>
  }
  const kind = predicted.kind[moment]
  const level = predicted.levelDbm[moment] - setup.value[loggedLink.value].excessLossDb
  const number = (value: number, digits: number, unit: string) =>
    Number.isNaN(value) ? '–' : `${formatNumber(value, digits)} ${unit}`
  return (
    <dl class="facts flown-moment">
      <dt>{formatDuration(log.timeS[moment])}</dt>
      <dd>
        {kind === NO_WAY ? say('flown.wayNotKnown') : WAY_NAMES[WAY_KINDS[kind]]}
        {say('flown.agl', { aglM: formatHeight(predicted.aglM[moment], units) })}
      </dd>
      {shownTab.value === 'signal' ? (
        <>
          <dt>{say('flown.measured')}</dt>
          <dd>{number(log.signalDbm[moment], 1, 'dBm')}</dd>
          <dt>{say('flown.predicted')}</dt>
          <dd>{number(level, 1, 'dBm')}</dd>
        </>
      ) : (
        <>
          <dt>{say('flown.taken')}</dt>
          <dd>
            {formatMah(chargeMah[moment])}, {number(log.amps[moment], 1, 'A')},{' '}
            {number(log.volts[moment], 1, 'V')}
          </dd>
        </>
      )}
    </dl>
  )
}

const interval = ({ low, high }: Fit, digits: number) =>
  say('flown.interval95', { low: formatNumber(low, digits), high: formatNumber(high, digits) })

function Signal({ found: { kinds, signal: fit, log } }: { found: Comparison }) {
  const role = loggedLink.value
  const link = setup.value[role]
  const isTaken =
    typeof fit !== 'string' &&
    Math.abs(link.excessLossDb - fit.value) < 0.06 &&
    link.spreadDb !== null &&
    Math.abs(link.spreadDb - fit.scatter) < 0.06
  return (
    <>
      {kinds.length > 0 && (
        <table class="legs flown-kinds">
          <thead>
            <tr>
              <th scope="col">{say('common.way')}</th>
              <th scope="col">{say('flown.levels')}</th>
              <th scope="col">{say('flown.weaker')}</th>
              <th scope="col">{say('flown.scatter')}</th>
            </tr>
          </thead>
          <tbody>
            {kinds.map(({ kind, count, excessDb, scatterDb }) => (
              <tr key={kind}>
                <th scope="row">{say(WAY_NAMES[kind])}</th>
                <td>{formatNumber(count, 0)}</td>
                <td>{formatSigned(excessDb - link.excessLossDb)} dB</td>
                <td>{formatNumber(scatterDb, 1)} dB</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {kinds.some(({ kind }) => kind === 'blocked') && (
        <p class="small section-note">{say('flown.whereLessThanSensitivity')}</p>
      )}
      {typeof fit === 'string' ? (
        <p class="caution-note">{fit}</p>
      ) : (
        <>
          <p class="flown-fit">
            <strong>{say('flown.excessLossDb', { fit: formatSigned(fit.value) })}</strong>{' '}
            {say('flown.beyondComputedLevelsSingle', {
              fit: interval(fit, 1),
              count: formatNumber(fit.count, 0),
              from: fit.from.length,
              scatter: formatNumber(fit.scatter, 1),
              outlierShare: formatShare(fit.outlierShare),
            })}
          </p>
          {log.isSignalScaled && <p class="caution-note">{say('flown.levelsWorkedOutPercent')}</p>}
          <button
            type="button"
            disabled={isTaken || !isComparisonCurrent.value}
            onClick={takeSignalFit}
          >
            {isTaken ? say('flown.link', { role }) : say('flown.takeIntoLink', { role })}
          </button>
        </>
      )}
    </>
  )
}

function Charge({ found: { current: fit, chargeMah, log, name } }: { found: Comparison }) {
  const { units } = preferences.value
  const planned = flight.value
  const charge = chargeMah.filter((mah) => !Number.isNaN(mah))
  const used = charge.length > 0 ? charge[charge.length - 1] : NaN
  const isTaken = typeof fit !== 'string' && Math.abs(fit.value - 1) < 0.005
  return (
    <>
      <dl class="facts">
        <dt>{say('common.flownHead')}</dt>
        <dd>
          {formatDuration(log.timeS[log.timeS.length - 1])}, {formatMah(used)}
        </dd>
        {planned && (
          <>
            <dt>{say('flown.plannedHead')}</dt>
            <dd>
              {planned.landed
                ? `${formatDuration(planned.landed.timeS)}, ${formatMah(planned.landed.takenMah)}`
                : `${formatDuration(planned.timeS[planned.timeS.length - 1])}, ${formatMah(planned.takenMah[planned.takenMah.length - 1])}`}
            </dd>
          </>
        )}
      </dl>
      {typeof fit === 'string' ? (
        <p class="caution-note">{fit}</p>
      ) : (
        <>
          <p class="flown-fit">
            <strong>
              {say('flown.cruise', {
                airspeedMs: formatSpeed(fit.airspeedMs, units),
                measuredA: formatNumber(fit.measuredA, 1),
              })}
            </strong>
            {say('flown.plannedTimesOverMoments', {
              plannedA: formatNumber(fit.plannedA, 1),
              fit: formatNumber(fit.value, 2),
              fit2: interval(fit, 2),
              count: formatNumber(fit.count, 0),
              spreadShare: formatShare(fit.spreadShare),
            })}
          </p>
          {fit.isOneWay && <p class="caution-note">{say('flown.mostCruiseLedOne')}</p>}
          <button
            type="button"
            disabled={isTaken || !isComparisonCurrent.value}
            onClick={takeCurrentFit}
          >
            {isTaken ? say('flown.aircraft') : say('flown.takeIntoAircraft')}
          </button>
        </>
      )}
      <p class="small section-note">{name}</p>
    </>
  )
}
