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
      aria-label="The flight beside the plan"
      aria-busy={!isComparisonCurrent.value}
    >
      {typeof found === 'string' || found === null ? (
        <p class="profile-refusal">{found ?? 'Comparing the flight…'}</p>
      ) : (
        <>
          {shownTab.value === 'signal' ? (
            <SignalChart found={found} />
          ) : (
            <ChargeChart found={found} />
          )}
          <div class="figures">
            <div class="switch figures-tabs route-tabs" role="group" aria-label="Figures">
              {(['signal', 'charge'] as const).map((tab) => (
                <button
                  type="button"
                  key={tab}
                  aria-pressed={shownTab.value === tab}
                  onClick={() => (shownTab.value = tab)}
                >
                  {tab === 'signal' ? 'Signal' : 'Charge'}
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
      expectedName="predicted for the flown track"
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
    () => (budgetMah === null ? [] : [{ value: budgetMah, name: 'reserve begins' }]),
    [budgetMah],
  )
  return (
    <FlownChart
      found={found}
      measured={measured}
      expected={expected}
      unit="mAh"
      levels={levels}
      expectedName={planned ? 'as planned' : 'no route planned'}
    />
  )
}

/** What there is to say of the moment looked at. */
function Moment({ found }: { found: Comparison }) {
  const { log, predicted, chargeMah } = found
  const { units } = preferences.value
  const moment = shownMoment.value
  if (moment === null || moment >= log.timeS.length) {
    return (
      <p class="cursor-figures cursor-figures-empty">
        Click the chart: the aircraft moves on the map.
      </p>
    )
  }
  const kind = predicted.kind[moment]
  const level = predicted.levelDbm[moment] - setup.value[loggedLink.value].excessLossDb
  const number = (value: number, digits: number, unit: string) =>
    Number.isNaN(value) ? '–' : `${formatNumber(value, digits)} ${unit}`
  return (
    <dl class="facts flown-moment">
      <dt>{formatDuration(log.timeS[moment])}</dt>
      <dd>
        {kind === NO_WAY ? 'way not known' : WAY_NAMES[WAY_KINDS[kind]]},{' '}
        {formatHeight(predicted.aglM[moment], units)} AGL
      </dd>
      {shownTab.value === 'signal' ? (
        <>
          <dt>Measured</dt>
          <dd>{number(log.signalDbm[moment], 1, 'dBm')}</dd>
          <dt>Predicted</dt>
          <dd>{number(level, 1, 'dBm')}</dd>
        </>
      ) : (
        <>
          <dt>Taken</dt>
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
  `95 %: ${formatNumber(low, digits)} to ${formatNumber(high, digits)}`

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
              <th scope="col">Way</th>
              <th scope="col">Levels</th>
              <th scope="col">Weaker by</th>
              <th scope="col">Scatter</th>
            </tr>
          </thead>
          <tbody>
            {kinds.map(({ kind, count, excessDb, scatterDb }) => (
              <tr key={kind}>
                <th scope="row">{WAY_NAMES[kind]}</th>
                <td>{formatNumber(count, 0)}</td>
                <td>{formatSigned(excessDb - link.excessLossDb)} dB</td>
                <td>{formatNumber(scatterDb, 1)} dB</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {kinds.some(({ kind }) => kind === 'blocked') && (
        <p class="small section-note">
          Where less than the sensitivity is predicted, receivers show their own floor.
        </p>
      )}
      {typeof fit === 'string' ? (
        <p class="caution-note">{fit}</p>
      ) : (
        <>
          <p class="flown-fit">
            <strong>Excess loss {formatSigned(fit.value)} dB</strong> ({interval(fit, 1)}) beyond
            the computed, from {formatNumber(fit.count, 0)} levels{' '}
            {fit.from.length === 1 ? 'on clear ways' : 'in sight'}; single ones scatter by{' '}
            {formatNumber(fit.scatter, 1)} dB, {formatShare(fit.outlierShare)} lie far off.
          </p>
          {log.isSignalScaled && (
            <p class="caution-note">
              The levels were worked out of percent: the excess is only as good as the levels you
              gave for 0 and 100 %.
            </p>
          )}
          <button
            type="button"
            disabled={isTaken || !isComparisonCurrent.value}
            onClick={takeSignalFit}
          >
            {isTaken ? `In the ${role} link` : `Take into the ${role} link`}
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
        <dt>Flown</dt>
        <dd>
          {formatDuration(log.timeS[log.timeS.length - 1])}, {formatMah(used)}
        </dd>
        {planned && (
          <>
            <dt>Planned</dt>
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
              Cruise at {formatSpeed(fit.airspeedMs, units)}: {formatNumber(fit.measuredA, 1)} A
            </strong>
            , {formatNumber(fit.plannedA, 1)} A planned. Times {formatNumber(fit.value, 2)} (
            {interval(fit, 2)}) over {formatNumber(fit.count, 0)} moments of level flight; whole
            minutes scatter by {formatShare(fit.spreadShare)}. Airspeeds by the wind of the plan;
            the hover is taken to draw as many times more.
          </p>
          {fit.isOneWay && (
            <p class="caution-note">
              Most of the cruise led one way: an error of the wind is an error of this figure.
            </p>
          )}
          <button
            type="button"
            disabled={isTaken || !isComparisonCurrent.value}
            onClick={takeCurrentFit}
          >
            {isTaken ? 'In the aircraft' : 'Take into the aircraft'}
          </button>
        </>
      )}
      <p class="small section-note">{name}</p>
    </>
  )
}
