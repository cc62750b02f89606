import { useEffect, useRef } from 'preact/hooks'
import { LANDING_RANGES, type LandingLimits } from '../../core/landing/areas'
import { approachDeg, type LandingArea } from '../../core/landing/landingArea'
import { readKeepOut } from '../../core/landing/keepOut'
import { WALK_RANGES, type WalkSettings } from '../../core/landing/walk'
import { host } from '../host/host'
import { startDrawing } from '../state/drawing'
import {
  accept,
  acceptOwn,
  bestRows,
  changeAccepted,
  changeLanding,
  dropAccepted,
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
import { changeSetup, setup } from '../state/setup'
import { moveTarget } from '../state/site'
import {
  formatDistance,
  formatHeight,
  formatNumber,
  formatShare,
  HEIGHT_UNIT,
} from '../state/units'
import { notice, orSentence } from '../state/work'
import { NumberField } from './NumberField'
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
          <ul class="waypoints" aria-label="Landing areas in the plan">
            {accepted.map((area, i) => (
              <AcceptedRow key={i} area={area} index={i} />
            ))}
          </ul>
        </>
      )}
      <Limits />
      <Walking />
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

export function formatWalk(seconds: number): string {
  const minutes = Math.ceil(seconds / 60)
  if (minutes < 60) return `${minutes} min`
  return `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')} h`
}

function walkWords(walkS: AreaRow['walkS']): string {
  if (walkS === undefined) return walkProblem.value ? '–' : '…'
  return walkS === null ? 'no way' : formatWalk(walkS)
}

function sizeWords(squareMetres: number): string {
  return squareMetres < 10_000
    ? `${formatNumber(squareMetres, 0)} m²`
    : `${formatNumber(squareMetres / 10_000, 1)} ha`
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

function AcceptedRow({ area, index }: { area: LandingArea; index: number }) {
  const { units } = preferences.value
  const { wind } = setup.value
  return (
    <li>
      <div class="landing-head">
        <input
          type="text"
          class="obstacle-name"
          aria-label={`Name of landing area ${index + 1}`}
          value={area.name}
          onChange={(event) =>
            changeAccepted(index, { name: event.currentTarget.value.trim() || area.name })
          }
        />
        <label class="check" title="The place to land at home, chosen before take-off">
          <input
            type="checkbox"
            checked={area.isHome}
            onChange={(event) => changeAccepted(index, { isHome: event.currentTarget.checked })}
          />
          home
        </label>
        <button
          type="button"
          aria-label={`Remove ${area.name}`}
          title="Remove"
          onClick={() => dropAccepted(index)}
        >
          ×
        </button>
      </div>
      <input
        type="text"
        class="obstacle-name landing-note"
        aria-label={`Note on ${area.name}`}
        placeholder="Note"
        value={area.note}
        onChange={(event) => changeAccepted(index, { note: event.currentTarget.value.trim() })}
      />
      <p class="small section-note">
        {sizeWords(area.sizeM2)}, run {formatHeight(area.runM, units)} at{' '}
        {formatNumber(area.runDeg, 0)}°
        {wind.speedMs > 0 &&
          `, approach ${formatNumber(approachDeg(area.runDeg, wind.fromDeg), 0)}° into the wind`}
        {'; '}
        <button type="button" class="link" onClick={() => changeSetup({ target: area.at })}>
          look there
        </button>
      </p>
    </li>
  )
}

function Limits() {
  const { limits, excluded } = setup.value.landing
  const { units } = preferences.value
  const { symbol, metres } = HEIGHT_UNIT[units]
  const change = (part: Partial<LandingLimits>) => changeLanding({ limits: { ...limits, ...part } })
  return (
    <>
      <h3>What counts as a landing area</h3>
      <div class="fields">
        <NumberField
          label="Steepest slope"
          unit="°"
          value={limits.steepestDeg}
          digits={1}
          min={LANDING_RANGES.steepestDeg[0]}
          max={LANDING_RANGES.steepestDeg[1]}
          step={1}
          onChange={(steepestDeg) => change({ steepestDeg })}
        />
        <NumberField
          label="Roughness"
          unit={symbol}
          value={limits.roughestM / metres}
          digits={2}
          min={Math.ceil((100 * LANDING_RANGES.roughestM[0]) / metres) / 100}
          max={Math.floor((100 * LANDING_RANGES.roughestM[1]) / metres) / 100}
          step={0.1}
          help="How far a cell and its neighbours may lie off the plane that fits them, root of the mean square."
          onChange={(height) => change({ roughestM: height * metres })}
        />
        <NumberField
          label="Smallest size"
          unit="m²"
          value={limits.smallestM2}
          digits={0}
          min={LANDING_RANGES.smallestM2[0]}
          max={LANDING_RANGES.smallestM2[1]}
          step={500}
          onChange={(smallestM2) => change({ smallestM2 })}
        />
        <NumberField
          label="From obstacles"
          unit={symbol}
          value={limits.fromObstaclesM / metres}
          digits={0}
          min={LANDING_RANGES.fromObstaclesM[0]}
          max={Math.floor(LANDING_RANGES.fromObstaclesM[1] / metres)}
          step={10}
          help="Kept from obstacles, wires and woods that you put in."
          onChange={(height) => change({ fromObstaclesM: height * metres })}
        />
        <NumberField
          label="From edges"
          unit={symbol}
          value={limits.fromEdgesM / metres}
          digits={0}
          min={LANDING_RANGES.fromEdgesM[0]}
          max={Math.floor(LANDING_RANGES.fromEdgesM[1] / metres)}
          step={10}
          help="Kept from where ground steeper than 30° falls away below."
          onChange={(height) => change({ fromEdgesM: height * metres })}
        />
      </div>
      <div class="row">
        <button
          type="button"
          onClick={() =>
            startDrawing('Ground to keep out', 'area', (geometry) => {
              if (geometry.type === 'Polygon') changeLanding({ excluded: [...excluded, geometry] })
            })
          }
        >
          Keep out of…
        </button>
        <button type="button" title="Polygons from GeoJSON" onClick={() => void importKeepOut()}>
          Import…
        </button>
        {excluded.length > 0 && (
          <button type="button" onClick={() => changeLanding({ excluded: [] })}>
            Forget {excluded.length} kept out
          </button>
        )}
      </div>
      <p class="section-note small">Perfectly level ground is left out: it may be water or ice.</p>
    </>
  )
}

async function importKeepOut(): Promise<void> {
  const file = await host.openText('GeoJSON', ['geojson', 'json'])
  if (!file) return
  const areas = orSentence(() => readKeepOut(file.text, file.name))
  notice.value = typeof areas === 'string' ? areas : null
  if (typeof areas === 'string') return
  changeLanding({ excluded: [...setup.value.landing.excluded, ...areas] })
}

function Walking() {
  const { walk, roadHead, hasSnow } = setup.value.landing
  const change = (part: Partial<WalkSettings>) => changeLanding({ walk: { ...walk, ...part } })
  return (
    <>
      <h3>On foot</h3>
      <div class="row">
        <span>{roadHead ? 'From the road head on the map' : 'From the launch point'}</span>
        <button
          type="button"
          onClick={() =>
            startDrawing('Road head', 'point', (geometry) => {
              if (geometry.type !== 'Point') return
              const [lonDeg, latDeg] = geometry.coordinates
              changeLanding({ roadHead: { latDeg, lonDeg } })
            })
          }
        >
          Road head…
        </button>
        {roadHead && (
          <button type="button" onClick={() => changeLanding({ roadHead: null })}>
            Launch point
          </button>
        )}
      </div>
      <div class="fields spaced">
        <NumberField
          label="Steepest ground walked"
          unit="°"
          value={walk.steepestDeg}
          digits={0}
          min={WALK_RANGES.steepestDeg[0]}
          max={WALK_RANGES.steepestDeg[1]}
          step={5}
          onChange={(steepestDeg) => change({ steepestDeg })}
        />
        <NumberField
          label="Speed off paths"
          unit="%"
          value={walk.offPathFactor * 100}
          digits={0}
          min={WALK_RANGES.offPathFactor[0] * 100}
          max={WALK_RANGES.offPathFactor[1] * 100}
          step={5}
          help="Of Tobler's walking speed on a path: 60 % is usual, less in snow or scrub."
          onChange={(percent) => change({ offPathFactor: percent / 100 })}
        />
      </div>
      <label class="check spaced">
        <input
          type="checkbox"
          checked={hasSnow}
          onChange={(event) => changeLanding({ hasSnow: event.currentTarget.checked })}
        />
        There is snow: mark possible avalanche terrain
      </label>
    </>
  )
}
