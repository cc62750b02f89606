import { useEffect, useRef } from 'preact/hooks'
import { approachDeg } from '../../core/landing/landingArea'
import { startDrawing } from '../state/drawing'
import {
  accept,
  acceptOwn,
  bestRows,
  footWay,
  forgetRejected,
  isAccepted,
  isSearching,
  MOST_SHOWN,
  reject,
  rejectedCount,
  rows,
  searchProblem,
  selected,
  selectedRow,
  sortedBy,
  SORTS,
  walkProblem,
  type AreaRow,
  type Sort,
} from '../state/landing'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { moveTarget } from '../state/site'
import { formatDistance, formatHeight, formatNumber, formatShare } from '../../core/words/units'
import { AcceptedAreas } from './AcceptedAreas'
import { LandingLimits } from './LandingLimits'
import { formatWalk, sizeWords } from '../../core/words/landingWords'
import { Section } from './Section'

const SORT_NAMES: Readonly<Record<Sort, { name: string; help: string }>> = {
  picture: { name: 'Picture', help: 'Share with the wanted margin down to 2 m above ground' },
  walk: { name: 'Walk', help: 'Least time on foot, one way' },
  size: { name: 'Size', help: 'Of the area' },
  away: { name: 'Away', help: 'From the route, or from the launch point' },
}

/** Places to put it down when something goes wrong, and the way to walk there. */
export function LandingSection() {
  const { accepted } = setup.value.landing
  const count = accepted.length
  return (
    <Section
      title="Landing areas"
      summary={count > 0 ? `${count} in the plan` : isSearching.value ? 'found, none chosen' : ''}
    >
      <p class="section-note">
        Flat, even ground with a picture down to it that a person can reach on foot: chosen before
        the flight.
      </p>
      <div class="row">
        <button
          type="button"
          class={isSearching.value ? '' : 'primary'}
          onClick={() => {
            isSearching.value = !isSearching.value
            selected.value = null
          }}
        >
          {isSearching.value ? 'Hide those found' : 'Find landing areas'}
        </button>
        <button type="button" onClick={drawOwn}>
          Draw one…
        </button>
      </div>
      {searchProblem.value && isSearching.value && (
        <p class="caution-note">{searchProblem.value}</p>
      )}
      {isSearching.value && <FoundTable />}
      <Selected />
      {count > 0 && (
        <>
          <h3>In the plan</h3>
          <AcceptedAreas />
        </>
      )}
      <LandingLimits />
      <p class="section-note small">
        The terrain does not show stones, brush, fences or people. Look at each place yourself
        before you rely on it.
      </p>
    </Section>
  )
}

function drawOwn(): void {
  startDrawing('Landing area', 'area', (geometry) => {
    if (geometry.type === 'Polygon') void acceptOwn(geometry)
  })
}

function walkWords(walkS: AreaRow['walkS']): string {
  if (walkS === undefined) return walkProblem.value ? '–' : '…'
  return walkS === null ? 'no way' : formatWalk(walkS)
}

function pictureWords({ picture }: AreaRow): string {
  if (!picture) return '…'
  const share = picture.margin ?? picture.fresnel
  return Number.isNaN(share) ? '–' : `${formatNumber(100 * share, 0)} %`
}

function FoundTable() {
  const { units } = preferences.value
  const best = bestRows.value
  if (best.length === 0) return null
  return (
    <>
      {walkProblem.value && <p class="caution-note">{walkProblem.value}</p>}
      <div class="found-areas">
        <table class="cols">
          <thead>
            <tr>
              {SORTS.map((sort) => (
                <th
                  key={sort}
                  scope="col"
                  aria-sort={sortedBy.value === sort ? 'ascending' : undefined}
                >
                  <button
                    type="button"
                    class="link"
                    title={`${SORT_NAMES[sort].help}; sorts the table, best first`}
                    onClick={() => (sortedBy.value = sort)}
                  >
                    {SORT_NAMES[sort].name}
                    {sortedBy.value === sort && ' ▾'}
                  </button>
                </th>
              ))}
              <th>
                <span class="only-heard">Choose</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {best.map((row, i) => (
              <tr key={row.id} class={selected.value === row.id ? 'chosen-row' : ''}>
                <th scope="row">
                  <button
                    type="button"
                    class="link"
                    aria-pressed={selected.value === row.id}
                    title="Look at it: figures and the way on foot"
                    onClick={() => (selected.value = row.id)}
                  >
                    {pictureWords(row)}
                  </button>
                </th>
                <td>{walkWords(row.walkS)}</td>
                <td>{sizeWords(row.sizeM2)}</td>
                <td>{formatDistance(row.awayM, units)}</td>
                <td class="found-tools">
                  <button
                    type="button"
                    class="add"
                    aria-label={`Take area ${i + 1} into the plan`}
                    title="Take it into the plan"
                    disabled={isAccepted(row)}
                    onClick={() => void accept(row)}
                  >
                    +
                  </button>
                  <button
                    type="button"
                    class="add"
                    aria-label={`Reject area ${i + 1}`}
                    title="Do not show it again"
                    onClick={() => reject(row)}
                  >
                    ×
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="section-note small">
        {rows.value.length > MOST_SHOWN
          ? `The best ${MOST_SHOWN} of ${formatNumber(rows.value.length, 0)} areas. `
          : `${formatNumber(rows.value.length, 0)} areas. `}
        {rejectedCount.value > 0 && (
          <button type="button" class="link" onClick={forgetRejected}>
            Show the {rejectedCount.value} rejected
          </button>
        )}
      </p>
    </>
  )
}

/** The area looked at. */
function Selected() {
  const row = selectedRow.value
  const box = useRef<HTMLDivElement>(null)
  // It may have been chosen on the map.
  useEffect(() => box.current?.scrollIntoView({ block: 'nearest' }), [row?.id])
  if (!row) return null
  const { units } = preferences.value
  const way = footWay.value
  const { picture } = row
  const { wind, landing } = setup.value
  return (
    <div class="selected-area" ref={box}>
      <h3>Area looked at</h3>
      <dl class="facts">
        <dt>Ground</dt>
        <dd>
          {sizeWords(row.sizeM2)}, {formatNumber(row.meanSlopeDeg, 1)}° steep,{' '}
          {formatHeight(row.heightM, units)} AMSL
        </dd>
        <dt>Longest run</dt>
        <dd>
          {formatHeight(row.runM, units)} at {formatNumber(row.runDeg, 0)}°
          {wind.speedMs > 0 &&
            `, approach ${formatNumber(approachDeg(row.runDeg, wind.fromDeg), 0)}° into the wind`}
        </dd>
        <dt>Picture at 2 m</dt>
        <dd>
          {picture
            ? `sight ${formatShare(picture.sight)}, Fresnel ${formatShare(picture.fresnel)}, margin ${formatShare(picture.margin ?? NaN)}`
            : '…'}
        </dd>
        <dt>On foot</dt>
        <dd class={way === null ? 'alarm' : ''}>
          {way === undefined
            ? walkProblem.value
              ? 'not known'
              : '…'
            : way === null
              ? 'no way over ground that can be walked'
              : `${formatWalk(way.timeS)}, ${formatDistance(way.lengthM, units)}, ${formatHeight(way.climbM, units)} up`}
        </dd>
      </dl>
      {way && way.profileM.length > 1 && <WayProfile heightsM={way.profileM} />}
      {way && (way.avalanche.length > 0 || way.areaEndangered) && (
        <p class="caution-note">
          {way.avalanche.length > 0 ? 'The way' : 'The area'} lies on slopes of 30° and more, or
          within reach of them from above: possible avalanche terrain. Read the local bulletin.
        </p>
      )}
      {way && landing.hasSnow && way.avalanche.length === 0 && !way.areaEndangered && (
        <p class="section-note small">
          By the terrain no slope of 30° and more reaches the way or the area; read the local
          bulletin all the same.
        </p>
      )}
      <div class="row">
        <button type="button" disabled={isAccepted(row)} onClick={() => void accept(row)}>
          Take into the plan
        </button>
        <button type="button" onClick={() => moveTarget(row.at)}>
          Put the target there
        </button>
      </div>
    </div>
  )
}

/** Heights along the way on foot, as a line. */
function WayProfile({ heightsM }: { heightsM: readonly number[] }) {
  const [width, height] = [288, 46]
  const lowest = heightsM.reduce((least, metres) => Math.min(least, metres), Infinity)
  const highest = heightsM.reduce((most, metres) => Math.max(most, metres), -Infinity)
  const { units } = preferences.value
  const points = heightsM
    .map((metres, i) => {
      const x = (i / (heightsM.length - 1)) * width
      const y = height - 3 - ((metres - lowest) / Math.max(1, highest - lowest)) * (height - 8)
      return `${x.toFixed(1)},${y.toFixed(1)}`
    })
    .join(' ')
  return (
    <svg
      class="way-profile"
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={`Profile of the way on foot, from ${formatHeight(lowest, units)} to ${formatHeight(highest, units)} above sea level`}
    >
      <polyline points={points} />
    </svg>
  )
}
