import type { ComponentChildren } from 'preact'
import type { PlanFigures, RouteFigures } from '../../core/plan/planFigures'
import { batteryWords, formatDuration, mahWithSpread, turnWords } from '../../core/words/routeWords'
import {
  formatDistance,
  formatHeight,
  formatNumber,
  formatShare,
  formatSigned,
  formatSpeed,
  type Units,
} from '../../core/words/units'
import { columns, isComparing, type Column } from '../state/comparePlans'
import { formatPosition } from '../state/positions'
import { preferences } from '../state/preferences'
import { say, type TextKey } from '../../core/words/say'
import { spokenName } from '../../core/words/typicalNames'
import { ModalSheet } from './ModalSheet'

/** Plans of one site side by side. */
export function CompareSheet() {
  return isComparing.value && <Sheet />
}

/** A line of the table: what it says of a plan, and what decides which is best. */
interface Row {
  readonly label: TextKey
  readonly words: (column: Column, figures: PlanFigures, units: Units) => string
  /** The least is best; null where none is better. Left out where nothing is. */
  readonly rank?: (figures: PlanFigures) => number | null
}

const ofRoute =
  (words: (route: RouteFigures, units: Units, column: Column) => string): Row['words'] =>
  (column, { route }, units) =>
    route ? words(route, units, column) : say('compare.noRoute')

const rankBy =
  (rank: (route: RouteFigures) => number): NonNullable<Row['rank']> =>
  ({ route }) => {
    const value = route ? rank(route) : NaN
    return Number.isNaN(value) ? null : value
  }

const db = (value: number) =>
  Number.isNaN(value) ? say('common.notKnown') : `${formatSigned(value)} dB`

const ROWS: readonly Row[] = [
  {
    label: 'common.launchPoint',
    words: ({ plan }, { launchGroundM }, units) =>
      `${formatPosition(plan.launch)}, ${formatHeight(launchGroundM, units)} AMSL`,
  },
  {
    label: 'common.antennaAboveGround',
    words: ({ plan }, _, units) => formatHeight(plan.antennaHeightM, units, 1),
  },
  {
    label: 'common.route',
    words: ofRoute(({ distanceM }, units, { plan }) =>
      say('compare.waypoints', {
        waypoints: plan.route.waypoints.length,
        distanceM: formatDistance(distanceM, units),
      }),
    ),
  },
  { label: 'compare.ends', words: ofRoute(({ verdict: [, words] }) => words) },
  {
    label: 'common.time',
    words: ofRoute(({ timeS }) => formatDuration(timeS)),
    rank: rankBy(({ timeS }) => timeS),
  },
  {
    label: 'common.charge',
    words: ofRoute(({ takenMah }, _, { plan }) =>
      mahWithSpread(takenMah, plan.aircraft.currentSpreadShare),
    ),
    rank: rankBy(({ takenMah }) => takenMah),
  },
  {
    label: 'common.turnWayBack',
    words: ofRoute(({ turns }, units) => turnWords(turns.retraced, units)),
  },
  {
    label: 'common.turnStraight',
    words: ofRoute(({ turns }, units) => turnWords(turns.straight, units)),
  },
  {
    label: 'compare.climbAllLegs',
    words: ofRoute(({ climbM }, units) => formatHeight(climbM, units)),
    rank: rankBy(({ climbM }) => climbM),
  },
  {
    label: 'compare.highestFlown',
    words: ofRoute(({ highestM }, units) => `${formatHeight(highestM, units)} AMSL`),
  },
  {
    label: 'compare.wantedMarginBothLinks',
    words: ofRoute(({ goodShare }) =>
      say('compare.shareOfRoute', { goodShare: formatShare(goodShare) }),
    ),
    rank: rankBy(({ goodShare, unknownM }) => (unknownM > 0 ? NaN : -goodShare)),
  },
  {
    label: 'compare.leastVideoMargin',
    words: ofRoute(({ leastVideoDb }) => db(leastVideoDb)),
    rank: rankBy(({ leastVideoDb, unknownM }) => (unknownM > 0 ? NaN : -leastVideoDb)),
  },
  {
    label: 'compare.leastControlMargin',
    words: ofRoute(({ leastControlDb }) => db(leastControlDb)),
    rank: rankBy(({ leastControlDb, unknownM }) => (unknownM > 0 ? NaN : -leastControlDb)),
  },
  {
    label: 'compare.signalNotKnown',
    words: ofRoute(({ unknownM }, units) => formatDistance(unknownM, units)),
  },
  {
    label: 'common.noHeightBetweenFloor',
    words: ofRoute(({ noHeightM }, units) => formatDistance(noHeightM, units)),
    rank: rankBy(({ noHeightM }) => noHeightM),
  },
  {
    label: 'common.underFloor',
    words: ofRoute(({ underFloorM }, units) => formatDistance(underFloorM, units)),
    rank: rankBy(({ underFloorM }) => underFloorM),
  },
  {
    label: 'common.landingAreas',
    words: ({ plan }) => formatNumber(plan.landing.accepted.length, 0),
  },
  {
    label: 'compare.noneThemReach',
    words: (column, figures, units) =>
      column.plan.landing.accepted.length === 0
        ? say('compare.planHasNone')
        : ofRoute(({ noLandingM }) => formatDistance(noLandingM, units))(column, figures, units),
  },
  { label: 'compare.videoLink', words: ({ plan }) => spokenName(plan.video.name) },
  { label: 'compare.controlLink', words: ({ plan }) => spokenName(plan.control.name) },
  { label: 'common.aircraft', words: ({ plan }) => spokenName(plan.aircraft.name) },
  { label: 'common.battery', words: ({ plan }) => batteryWords(plan.battery) },
  {
    label: 'common.wind',
    words: ({ plan: { wind } }, _, units) =>
      wind.speedMs === 0
        ? say('common.calm')
        : say('common.from', {
            speedMs: formatSpeed(wind.speedMs, units),
            fromDeg: formatNumber(wind.fromDeg, 0),
          }),
  },
]

function Sheet() {
  const close = () => (isComparing.value = false)
  const all = columns.value
  const { units } = preferences.value
  const isWaiting = all.some(({ figures }) => figures === null)
  return (
    <ModalSheet
      title={say('compare.plansSideSide')}
      about={say('compare.eachWorkedOutTerrain')}
      class="sheet-compare"
      onClose={close}
      foot={
        <button type="button" class="primary" autofocus onClick={close}>
          {say('common.close')}
        </button>
      }
    >
      <div
        class="sheet-text"
        tabIndex={0}
        aria-label={say('compare.figuresPlans')}
        aria-busy={isWaiting}
      >
        <table class="compare">
          <thead>
            <tr>
              <td />
              {all.map(({ name }, i) => (
                <th scope="col" key={i}>
                  {name}
                  {i === 0 && <small> {say('compare.hand')}</small>}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {ROWS.map((row) => (
              <Line key={row.label} row={row} all={all} units={units} />
            ))}
          </tbody>
        </table>
        <p>{say('compare.figuresBoldDifferPlan')}</p>
      </div>
    </ModalSheet>
  )
}

function Line({ row, all, units }: { row: Row; all: readonly Column[]; units: Units }) {
  const texts = all.map((column): string | null => {
    const { figures } = column
    if (figures === null) return '…'
    return typeof figures === 'string' ? null : row.words(column, figures, units)
  })
  const ranks = all.map(({ figures }) =>
    figures === null || typeof figures === 'string' ? null : (row.rank?.(figures) ?? null),
  )
  const known = ranks.filter((rank) => rank !== null)
  const best = Math.min(...known)
  // Where all are alike none is best.
  const hasBest = known.length > 1 && known.some((rank) => rank > best)
  return (
    <tr>
      <th scope="row">{say(row.label)}</th>
      {texts.map((text, i) => (
        <Cell key={i} isOther={i > 0 && text !== texts[0]} isBest={hasBest && ranks[i] === best}>
          {text ?? (row === ROWS[0] ? (all[i].figures as string) : '–')}
        </Cell>
      ))}
    </tr>
  )
}

function Cell(props: { isOther: boolean; isBest: boolean; children: ComponentChildren }) {
  const { isOther, isBest, children } = props
  return (
    <td class={isOther ? 'differs' : ''}>
      {isBest && (
        <span class="best" title={say('compare.bestLine')}>
          <span class="visually-hidden">{say('compare.best')} </span>
        </span>
      )}
      {children}
    </td>
  )
}
