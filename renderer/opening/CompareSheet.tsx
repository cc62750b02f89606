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
import { ModalSheet } from './ModalSheet'

/** Plans of one site side by side. */
export function CompareSheet() {
  return isComparing.value && <Sheet />
}

/** A line of the table: what it says of a plan, and what decides which is best. */
interface Row {
  readonly label: string
  readonly words: (column: Column, figures: PlanFigures, units: Units) => string
  /** The least is best; null where none is better. Left out where nothing is. */
  readonly rank?: (figures: PlanFigures) => number | null
}

const ofRoute =
  (words: (route: RouteFigures, units: Units, column: Column) => string): Row['words'] =>
  (column, { route }, units) =>
    route ? words(route, units, column) : 'no route'

const rankBy =
  (rank: (route: RouteFigures) => number): NonNullable<Row['rank']> =>
  ({ route }) => {
    const value = route ? rank(route) : NaN
    return Number.isNaN(value) ? null : value
  }

const db = (value: number) => (Number.isNaN(value) ? 'not known' : `${formatSigned(value)} dB`)

const ROWS: readonly Row[] = [
  {
    label: 'Launch point',
    words: ({ plan }, { launchGroundM }, units) =>
      `${formatPosition(plan.launch)}, ${formatHeight(launchGroundM, units)} AMSL`,
  },
  {
    label: 'Antenna above ground',
    words: ({ plan }, _, units) => formatHeight(plan.antennaHeightM, units, 1),
  },
  {
    label: 'Route',
    words: ofRoute(
      ({ distanceM }, units, { plan }) =>
        `${plan.route.waypoints.length} waypoints, ${formatDistance(distanceM, units)}`,
    ),
  },
  { label: 'Ends', words: ofRoute(({ verdict: [, words] }) => words) },
  {
    label: 'Time',
    words: ofRoute(({ timeS }) => formatDuration(timeS)),
    rank: rankBy(({ timeS }) => timeS),
  },
  {
    label: 'Charge',
    words: ofRoute(({ takenMah }, _, { plan }) =>
      mahWithSpread(takenMah, plan.aircraft.currentSpreadShare),
    ),
    rank: rankBy(({ takenMah }) => takenMah),
  },
  {
    label: 'Turn by, way back',
    words: ofRoute(({ turns }, units) => turnWords(turns.retraced, units)),
  },
  {
    label: 'Turn by, straight',
    words: ofRoute(({ turns }, units) => turnWords(turns.straight, units)),
  },
  {
    label: 'Climb, all legs',
    words: ofRoute(({ climbM }, units) => formatHeight(climbM, units)),
    rank: rankBy(({ climbM }) => climbM),
  },
  {
    label: 'Highest flown',
    words: ofRoute(({ highestM }, units) => `${formatHeight(highestM, units)} AMSL`),
  },
  {
    label: 'Wanted margin, both links',
    words: ofRoute(({ goodShare }) => `${formatShare(goodShare)} of the route`),
    rank: rankBy(({ goodShare, unknownM }) => (unknownM > 0 ? NaN : -goodShare)),
  },
  {
    label: 'Least video margin',
    words: ofRoute(({ leastVideoDb }) => db(leastVideoDb)),
    rank: rankBy(({ leastVideoDb, unknownM }) => (unknownM > 0 ? NaN : -leastVideoDb)),
  },
  {
    label: 'Least control margin',
    words: ofRoute(({ leastControlDb }) => db(leastControlDb)),
    rank: rankBy(({ leastControlDb, unknownM }) => (unknownM > 0 ? NaN : -leastControlDb)),
  },
  {
    label: 'Signal not known',
    words: ofRoute(({ unknownM }, units) => formatDistance(unknownM, units)),
  },
  {
    label: 'No height between floor and ceiling',
    words: ofRoute(({ noHeightM }, units) => formatDistance(noHeightM, units)),
    rank: rankBy(({ noHeightM }) => noHeightM),
  },
  {
    label: 'Under the floor',
    words: ofRoute(({ underFloorM }, units) => formatDistance(underFloorM, units)),
    rank: rankBy(({ underFloorM }) => underFloorM),
  },
  { label: 'Landing areas', words: ({ plan }) => formatNumber(plan.landing.accepted.length, 0) },
  {
    label: 'None of them in reach',
    words: (column, figures, units) =>
      column.plan.landing.accepted.length === 0
        ? 'the plan has none'
        : ofRoute(({ noLandingM }) => formatDistance(noLandingM, units))(column, figures, units),
  },
  { label: 'Video link', words: ({ plan }) => plan.video.name },
  { label: 'Control link', words: ({ plan }) => plan.control.name },
  { label: 'Aircraft', words: ({ plan }) => plan.aircraft.name },
  { label: 'Battery', words: ({ plan }) => batteryWords(plan.battery) },
  {
    label: 'Wind',
    words: ({ plan: { wind } }, _, units) =>
      wind.speedMs === 0
        ? 'calm'
        : `${formatSpeed(wind.speedMs, units)} from ${formatNumber(wind.fromDeg, 0)}°`,
  },
]

function Sheet() {
  const close = () => (isComparing.value = false)
  const all = columns.value
  const { units } = preferences.value
  const isWaiting = all.some(({ figures }) => figures === null)
  return (
    <ModalSheet
      title="Plans side by side"
      about="Each worked out on this terrain with its own obstacles, links, aircraft and wind."
      class="sheet-compare"
      onClose={close}
      foot={
        <button type="button" class="primary" autofocus onClick={close}>
          Close
        </button>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label="Figures of the plans" aria-busy={isWaiting}>
        <table class="compare">
          <thead>
            <tr>
              <td />
              {all.map(({ name }, i) => (
                <th scope="col" key={i}>
                  {name}
                  {i === 0 && <small> at hand</small>}
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
        <p>
          Figures in bold differ from the plan at hand; the best of a line has a dot. A prediction
          is no promise.
        </p>
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
      <th scope="row">{row.label}</th>
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
        <span class="best" title="Best of this line">
          <span class="visually-hidden">best: </span>
        </span>
      )}
      {children}
    </td>
  )
}
