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
  order,
  reject,
  rejectedCount,
  rows,
  searchProblem,
  selected,
  selectedRow,
  sortBy,
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
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

const SORT_NAMES: Readonly<Record<Sort, { name: TextKey; help: TextKey }>> = {
  picture: { name: 'landing.picture', help: 'landing.shareWantedMarginDown' },
  walk: { name: 'common.walk', help: 'landing.leastTimeFootOne' },
  size: { name: 'common.size', help: 'landing.area' },
  away: { name: 'common.away', help: 'landing.routeLaunchPoint' },
}

/** Places to put it down when something goes wrong, and the way to walk there. */
export function LandingSection() {
  const { accepted } = setup.value.landing
  const count = accepted.length
  return (
    <Section
      title={say('common.landingAreas')}
      summary={
        count > 0
          ? say('landing.plan', { count })
          : isSearching.value
            ? say('landing.foundNoneChosen')
            : ''
      }
    >
      <p class="section-note">{say('landing.flatEvenGroundPicture')}</p>
      <div class="row">
        <button
          type="button"
          class={isSearching.value ? '' : 'primary'}
          onClick={() => {
            isSearching.value = !isSearching.value
            selected.value = null
          }}
        >
          {isSearching.value ? say('landing.hideThoseFound') : say('landing.findLandingAreas')}
        </button>
        <button type="button" onClick={drawOwn}>
          {say('landing.drawOne')}
        </button>
      </div>
      {searchProblem.value && isSearching.value && (
        <p class="caution-note">{searchProblem.value}</p>
      )}
      {isSearching.value && <FoundTable />}
      <Selected />
      {count > 0 && (
        <>
          <h3>{say('landing.planTable')}</h3>
          <AcceptedAreas />
        </>
      )}
      <LandingLimits />
      <p class="section-note small">{say('landing.terrainDoesNotShow')}</p>
    </Section>
  )
}

function drawOwn(): void {
  startDrawing(say('landing.landingArea'), 'area', (geometry) => {
    if (geometry.type === 'Polygon') void acceptOwn(geometry)
  })
}

function walkWords(walkS: AreaRow['walkS']): string {
  if (walkS === undefined) return walkProblem.value ? '–' : '…'
  return walkS === null ? say('common.noWay') : formatWalk(walkS)
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
                    title={say('landing.sortsTableBestFirst', { help: say(SORT_NAMES[sort].help) })}
                    onClick={() => sortBy(sort)}
                  >
                    {say(SORT_NAMES[sort].name)}
                    {sortedBy.value === sort && ' ▾'}
                  </button>
                </th>
              ))}
              <th>
                <span class="only-heard">{say('common.choose')}</span>
              </th>
            </tr>
          </thead>
          <tbody
            onPointerEnter={() => order.lay('pointer')}
            onPointerLeave={() => order.lift('pointer')}
            onFocusIn={() => order.lay('keyboard')}
            onFocusOut={() => order.lift('keyboard')}
          >
            {best.map((row, i) => (
              <tr key={row.id} class={selected.value === row.id ? 'chosen-row' : ''}>
                <th scope="row">
                  <button
                    type="button"
                    class="link"
                    aria-pressed={selected.value === row.id}
                    title={say('landing.lookFiguresWayFoot')}
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
                    aria-label={say('landing.takeAreaIntoPlan', { i: i + 1 })}
                    title={say('landing.takeIntoPlan')}
                    aria-disabled={isAccepted(row)}
                    onClick={() => {
                      if (!isAccepted(row)) void accept(row)
                    }}
                  >
                    +
                  </button>
                  <button
                    type="button"
                    class="add"
                    aria-label={say('landing.rejectArea', { i: i + 1 })}
                    title={say('landing.doNotShowAgain')}
                    onClick={({ currentTarget }) => {
                      focusBeside(currentTarget)
                      reject(row)
                    }}
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
          ? say('landing.bestAreas', {
              most: MOST_SHOWN,
              rows: formatNumber(rows.value.length, 0),
            })
          : say('landing.areas', { rows: rows.value.length })}
        {rejectedCount.value > 0 && (
          <button type="button" class="link" onClick={forgetRejected}>
            {say('landing.showRejected', { rejectedCount: rejectedCount.value })}
          </button>
        )}
      </p>
    </>
  )
}

/** Puts the keyboard on the same button of the next row; from the last, of the one before. */
function focusBeside(button: HTMLElement): void {
  const row = button.closest('tr')
  const beside = row?.nextElementSibling ?? row?.previousElementSibling
  beside?.querySelector<HTMLElement>('button:last-of-type:not(.link)')?.focus()
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
      <h3>{say('landing.areaLooked')}</h3>
      <dl class="facts">
        <dt>{say('common.ground')}</dt>
        <dd>
          {say('landing.steepAmsl', {
            sizeM2: sizeWords(row.sizeM2),
            meanSlopeDeg: formatNumber(row.meanSlopeDeg, 1),
            heightM: formatHeight(row.heightM, units),
          })}
        </dd>
        <dt>{say('landing.longestRun')}</dt>
        <dd>
          {say('landing.at', {
            runM: formatHeight(row.runM, units),
            runDeg: formatNumber(row.runDeg, 0),
          })}
          {wind.speedMs > 0 &&
            say('common.approachIntoWind', {
              runDeg: formatNumber(approachDeg(row.runDeg, wind.fromDeg), 0),
            })}
        </dd>
        <dt>{say('landing.picture2M')}</dt>
        <dd>
          {picture
            ? say('common.sightFresnelMargin', {
                sight: formatShare(picture.sight),
                fresnel: formatShare(picture.fresnel),
                margin: formatShare(picture.margin ?? NaN),
              })
            : '…'}
        </dd>
        <dt>{say('common.foot')}</dt>
        <dd class={way === null ? 'alarm' : ''}>
          {way === undefined
            ? walkProblem.value
              ? say('common.notKnown')
              : '…'
            : way === null
              ? say('landing.noWayOverGround')
              : say('landing.up', {
                  timeS: formatWalk(way.timeS),
                  lengthM: formatDistance(way.lengthM, units),
                  climbM: formatHeight(way.climbM, units),
                })}
        </dd>
      </dl>
      {way && way.profileM.length > 1 && <WayProfile heightsM={way.profileM} />}
      {way && (way.avalanche.length > 0 || way.areaEndangered) && (
        <p class="caution-note">
          {say('landing.liesSlopes30More', { what: way.avalanche.length > 0 ? 'way' : 'area' })}
        </p>
      )}
      {way && landing.hasSnow && way.avalanche.length === 0 && !way.areaEndangered && (
        <p class="section-note small">{say('landing.terrainNoSlope30')}</p>
      )}
      <div class="row">
        <button type="button" disabled={isAccepted(row)} onClick={() => void accept(row)}>
          {say('landing.takeIntoPlanButton')}
        </button>
        <button type="button" onClick={() => moveTarget(row.at)}>
          {say('common.putTargetThere')}
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
      aria-label={say('landing.profileWayFootAbove', {
        lowest: formatHeight(lowest, units),
        highest: formatHeight(highest, units),
      })}
    >
      <polyline points={points} />
    </svg>
  )
}
