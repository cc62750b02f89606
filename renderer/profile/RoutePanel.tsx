import { signal } from '@preact/signals'
import { useEffect } from 'preact/hooks'
import { divertAt } from '../../core/energy/divert'
import type { LegFlight } from '../../core/energy/flight'
import { geodesic } from '../../core/geodesy/geodesic'
import type { Link } from '../../core/radio/link'
import { floorAt } from '../../core/route/corridor'
import { CONFLICT_COLOURS } from '../map/routeLayer'
import { formatPosition } from '../state/positions'
import { preferences } from '../state/preferences'
import {
  flight,
  flownSample,
  homeDistanceM,
  isCorridorRough,
  line,
  placeOfSample,
  shownSample,
} from '../state/route'
import { routeFigures, type RouteFigures } from '../state/routeFigures'
import {
  CONFLICT_NAMES,
  conflictPlaceWords,
  conflictWords,
  formatDuration,
  mahWithSpread,
  turnWords,
  verdictOn,
} from '../../core/words/routeWords'
import { setup } from '../state/setup'
import {
  formatClearHeight,
  formatDistance,
  formatHeight,
  formatNumber,
  formatShare,
  formatSpeed,
} from '../../core/words/units'
import { say } from '../../core/words/say'
import { CorridorChart } from './CorridorChart'

/** The route as a corridor, with the flight along it. */
export function RoutePanel() {
  const its = line.value
  if (its === null) return null
  return (
    <section
      class="profile"
      aria-label={say('route.corridorRoute')}
      data-rough={isCorridorRough.value}
    >
      {typeof its === 'string' ? (
        <p class="profile-refusal">{its}</p>
      ) : (
        <>
          <CorridorChart line={its} />
          <Figures />
        </>
      )}
    </section>
  )
}

type Tab = 'here' | 'legs' | 'troubles'
const shownTab = signal<Tab>('legs')

function Figures() {
  const shown = shownTab.value
  const found = routeFigures.value
  if (!found) return <div class="figures" />
  const tabs: readonly (readonly [Tab, string])[] = [
    ['here', say('route.moment')],
    ['legs', say('common.battery')],
    ['troubles', say('route.conflicts', { conflicts: found.conflicts.length })],
  ]
  return (
    <div class="figures">
      <div class="switch figures-tabs route-tabs" role="group" aria-label={say('common.figures')}>
        {tabs.map(([tab, label]) => (
          <button
            type="button"
            key={tab}
            aria-pressed={shown === tab}
            onClick={() => (shownTab.value = tab)}
          >
            {label}
          </button>
        ))}
      </div>
      {shown === 'here' && <FlyThrough found={found} />}
      {shown === 'legs' && <Battery found={found} />}
      {shown === 'troubles' && <Troubles found={found} />}
    </div>
  )
}

// ---- fly-through ----

const isFlying = signal(false)
/** Flown seconds a second of watching, and the least and most a flight takes to watch. */
const TIME_LAPSE = 15
const FRAME_MS = 40

/** The moment the aircraft is at, and the controls that move it. */
function FlyThrough({ found }: { found: RouteFigures }) {
  const last = found.line.distanceM.length - 1
  const sample = flownSample.value === null ? null : Math.min(last, flownSample.value)
  useEffect(() => {
    if (!isFlying.value) return
    const timer = setInterval(() => {
      const flown = flight.peek()
      const at = shownSample.peek() ?? 0
      const now = flown?.timeS[at] ?? NaN
      let next = at + 1
      const until = now + (FRAME_MS / 1000) * TIME_LAPSE
      while (flown && next < last && flown.timeS[next] < until) next++
      shownSample.value = Math.min(last, next)
      if (next >= last) isFlying.value = false
    }, FRAME_MS)
    return () => clearInterval(timer)
  }, [isFlying.value, last])
  // Nobody watches on another tab.
  useEffect(() => () => void (isFlying.value = false), [])
  return (
    <>
      <div class="fly-controls">
        <button
          type="button"
          onClick={() => {
            if (!isFlying.value && (sample === null || sample === last)) shownSample.value = 0
            isFlying.value = !isFlying.value
          }}
        >
          {isFlying.value ? say('route.pause') : say('route.fly')}
        </button>
        <input
          type="range"
          aria-label={say('common.alongRoute')}
          min={0}
          max={last}
          value={sample ?? 0}
          onInput={(event) => (shownSample.value = Number(event.currentTarget.value))}
        />
      </div>
      {sample === null ? (
        <p class="cursor-figures cursor-figures-empty">{say('route.moveSliderClickCorridor')}</p>
      ) : (
        <Moment found={found} sample={sample} />
      )}
    </>
  )
}

function Moment({ found, sample }: { found: RouteFigures; sample: number }) {
  const { units } = preferences.value
  const { limits, landing } = setup.value
  const { line, air, flight: flown, flyer: who, turns } = found
  const divert = turns && divertAt(turns.diverts, sample)
  const at = placeOfSample(line, sample)
  const ground = line.groundM[sample]
  const floor = air ? floorAt(air, limits.floorKind, sample) : NaN
  const taken = flown?.takenMah[sample] ?? NaN
  const left = typeof who === 'string' ? NaN : who.pack.leftShare(taken)
  const dB = (value: number | undefined, { spreadDb }: Link) =>
    value === undefined || Number.isNaN(value)
      ? '–'
      : `${formatNumber(value, 0)} ${spreadDb === null ? '' : `± ${formatNumber(spreadDb, 0)} `}dB`
  return (
    <dl class="facts">
      <dt>{say('common.position')}</dt>
      <dd>{at ? formatPosition(at) : '–'}</dd>
      <dt>{say('common.flownHead')}</dt>
      <dd>
        {formatDistance(line.distanceM[sample], units)}
        {flown && `, ${formatDuration(flown.timeS[sample])}`}
      </dd>
      <dt>{say('common.height')}</dt>
      <dd>
        {say('route.aglAmsl', {
          flownM: formatHeight(line.flownM[sample] - ground, units),
          flownM2: formatHeight(line.flownM[sample], units),
        })}
      </dd>
      <dt>{say('route.floor')}</dt>
      <dd>
        {Number.isNaN(floor)
          ? say('common.notKnown')
          : floor === Infinity
            ? say('route.noHeightHasMargin')
            : say('route.floorAgl', { floor: formatClearHeight(floor, units) })}
      </dd>
      <dt>{say('route.margins')}</dt>
      <dd>
        {say('route.videoControl', {
          videoDb: dB(air?.videoDb[sample], setup.value.video),
          controlDb: dB(air?.controlDb[sample], setup.value.control),
        })}
      </dd>
      <dt>{say('common.battery')}</dt>
      <dd class={left < 0 ? 'alarm' : ''}>
        {Number.isNaN(left)
          ? '–'
          : left < 0
            ? say('route.emptyBeforeHere')
            : say('route.leftV', {
                left: formatShare(left),
                volts: formatNumber(flown?.volts[sample] ?? NaN, 1),
              })}
      </dd>
      <dt>{say('route.home')}</dt>
      <dd>
        {say('route.homeStraight', { line: formatDistance(homeDistanceM(line, sample), units) })}
      </dd>
      {landing.accepted.length > 0 && (
        <>
          <dt>{say('common.landing')}</dt>
          <dd class={turns && !divert ? 'alarm' : ''}>
            {!turns
              ? '…'
              : divert && at
                ? say('route.at', {
                    name: landing.accepted[divert.area]?.name ?? '',
                    distanceM: formatDistance(divert.distanceM, units),
                    bearingDeg: formatNumber(
                      geodesic(at, landing.accepted[divert.area]?.at ?? at).bearingDeg,
                      0,
                    ),
                  })
                : say('common.noneReach')}
          </dd>
        </>
      )}
    </dl>
  )
}

// ---- battery ----

function Battery({ found }: { found: RouteFigures }) {
  const { units } = preferences.value
  const { line, flight: flown, flyer: who, turns } = found
  if (typeof who === 'string') return <p class="caution-note">{who}</p>
  if (!flown) return null
  const { currentSpreadShare } = setup.value.aircraft
  const refusal = flown.legs.find((leg) => typeof leg === 'string')
  const last = line.distanceM.length - 1
  const end = flown.landed ?? { timeS: flown.timeS[last], takenMah: flown.takenMah[last] }
  const [kind, words] =
    refusal === undefined
      ? verdictOn({ flight: flown, flyer: who, turns }, end.takenMah)
      : ['blocked', say('common.cannotFlownDrawn')]
  return (
    <>
      <p class={`verdict verdict-${kind}`} role="status">
        {words}
      </p>
      {refusal !== undefined && <p class="caution-note">{refusal}</p>}
      <dl class="facts">
        {refusal === undefined && (
          <>
            <dt>{flown.landed ? say('common.landed') : say('common.end')}</dt>
            <dd>
              {formatDistance(line.distanceM[last], units)}, {formatDuration(end.timeS)},{' '}
              {mahWithSpread(end.takenMah, currentSpreadShare)}
            </dd>
          </>
        )}
        <dt>{say('common.turnWayBack')}</dt>
        <dd>{turnWords(turns?.retraced, units)}</dd>
        <dt>{say('common.turnStraight')}</dt>
        <dd>{turnWords(turns?.straight, units)}</dd>
        {flown.sagSample !== null && (
          <>
            <dt>{say('route.packSags')}</dt>
            <dd class="alarm">
              {say('route.underVCell', {
                leastCellV: formatNumber(setup.value.battery.leastCellV, 2),
                distanceM: formatDistance(line.distanceM[flown.sagSample], units),
              })}
            </dd>
          </>
        )}
      </dl>
      <table class="legs">
        <thead>
          <tr>
            <th scope="col">{say('common.leg')}</th>
            <th scope="col">{say('common.way')}</th>
            <th scope="col">{say('common.time')}</th>
            <th scope="col">mAh</th>
            <th scope="col">{say('common.left')}</th>
          </tr>
        </thead>
        <tbody>
          {line.legs.map((leg, i) => {
            const its = flown.legs[i]
            return (
              <tr key={i} title={typeof its === 'string' ? its : legTitle(its)}>
                <th scope="row">
                  <button
                    type="button"
                    class="link"
                    onClick={() => (shownSample.value = leg.to.sample)}
                  >
                    {leg.to.waypoint === null ? say('common.launch') : leg.to.label}
                  </button>
                </th>
                <td>{formatDistance(leg.distanceM, units)}</td>
                {typeof its === 'string' ? (
                  <td colSpan={3} class="alarm">
                    {say('common.notFlyable')}
                  </td>
                ) : (
                  <>
                    <td>{formatDuration(its.timeS).replace(' min', '')}</td>
                    <td>{formatNumber(its.mah, 0)}</td>
                    <td class={its.leftShare < 0 ? 'alarm' : ''}>
                      {its.leftShare < 0
                        ? say('common.empty')
                        : `${formatNumber(its.leftShare * 100, 0)} %`}
                    </td>
                  </>
                )}
              </tr>
            )
          })}
        </tbody>
      </table>
    </>
  )
}

function legTitle({ airspeedMs, triangle, climbM, volts }: LegFlight): string {
  const { units } = preferences.value
  return say('route.airspeedOverGroundHeading', {
    airspeedMs: formatSpeed(airspeedMs, units),
    groundSpeedMs: formatSpeed(triangle.groundSpeedMs, units),
    headingDeg: formatNumber(triangle.headingDeg, 0),
    climbM: formatHeight(climbM, units),
    volts: formatNumber(volts, 1),
  })
}

// ---- conflicts ----

function Troubles({ found: { line, conflicts } }: { found: RouteFigures }) {
  const { units } = preferences.value
  const { floorKind } = setup.value.limits
  return (
    <>
      {isCorridorRough.value && <p class="section-note">{say('route.firstRoughLookExact')}</p>}
      {conflicts.length === 0 ? (
        <p class="verdict verdict-clear" role="status">
          {say('route.betweenFloorCeilingAll')}
        </p>
      ) : (
        <ul class="troubles-list" aria-label={say('route.conflictsList')}>
          {conflicts.map((conflict, i) => (
            <li key={i}>
              <button type="button" onClick={() => (shownSample.value = conflict.worstSample)}>
                <span
                  class="trouble-mark"
                  style={{ background: CONFLICT_COLOURS[conflict.kind] }}
                  aria-hidden="true"
                />
                <span>
                  <strong>{say(CONFLICT_NAMES[conflict.kind])}</strong>{' '}
                  {conflictWords(conflict, floorKind, units)}
                  <br />
                  {conflictPlaceWords(conflict, line.legs[conflict.leg].to.label, units)}
                </span>
              </button>
            </li>
          ))}
        </ul>
      )}
      <p class="small section-note">{say('route.treesWiresBuildingsKnown')}</p>
    </>
  )
}
