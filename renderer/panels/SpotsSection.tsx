import { STAND_RANGES } from '../../core/launch/spots'
import type { Branch } from '../../core/radio/link'
import { startDrawing } from '../state/drawing'
import { keepPlace } from '../state/keptPlaces'
import {
  chosenSpot,
  compare,
  compared,
  dropCompared,
  findSpots,
  forgetSpots,
  heat,
  isHeatShown,
  isLooking,
  isStale,
  score,
  searchProblem,
  spotList,
  standArea,
  standAt,
  standLimits,
  targets,
  targetWeights,
  type Compared,
  type Score,
  type TargetWeights,
} from '../state/launchSpots'
import { setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { formatDistance, formatHeight, formatNumber, formatShare } from '../../core/words/units'
import type { ListedSpot } from '../workers/launch.worker'
import { formatWalk } from '../../core/words/landingWords'
import { NumberField } from './NumberField'
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

const SCORES: readonly (readonly [Score, TextKey])[] = [
  ['margin', 'spots.wantedMargin'],
  ['fresnel', 'common.fresnel'],
  ['sight', 'spots.sight'],
]
const WEIGHTS: readonly (readonly [keyof TargetWeights, TextKey, TextKey])[] = [
  ['route', 'common.route', 'spots.routeFlown'],
  ['area', 'spots.areaRead', 'spots.areaDrawnUnderRead'],
  ['cols', 'spots.cols', 'spots.colsFoundUnderRidge'],
]

/** Where to stand so that what should be flown is in the picture. */
export function SpotsSection() {
  const found = spotList.value
  return (
    <Section
      title={say('spots.launchSpots')}
      summary={
        found && found.spots.length > 0
          ? say('spots.best', { spots: formatShare(found.spots[0][score.value]) })
          : ''
      }
    >
      <p class="section-note">{say('spots.findsWhereStandWhat')}</p>
      <div class="fields">
        {WEIGHTS.map(([kind, label, help]) => (
          <NumberField
            key={kind}
            label={say('spots.weight', { label: say(label) })}
            unit=""
            value={targetWeights.value[kind]}
            digits={1}
            min={0}
            max={100}
            step={1}
            help={say(help)}
            onChange={(weight) =>
              (targetWeights.value = { ...targetWeights.value, [kind]: weight })
            }
          />
        ))}
        <NumberField
          label={say('spots.steepestGround')}
          unit="°"
          value={standLimits.value.steepestDeg}
          digits={0}
          min={STAND_RANGES.steepestDeg[0]}
          max={STAND_RANGES.steepestDeg[1]}
          step={5}
          help={say('spots.stand')}
          onChange={(steepestDeg) => (standLimits.value = { ...standLimits.value, steepestDeg })}
        />
        <NumberField
          label={say('spots.longestWayField')}
          unit="min"
          value={(standLimits.value.longestWalkS ?? 0) / 60}
          digits={0}
          min={STAND_RANGES.longestWalkS[0] / 60}
          max={STAND_RANGES.longestWalkS[1] / 60}
          step={10}
          help={say('spots.roadHeadLaunchPoint')}
          onChange={(minutes) =>
            (standLimits.value = { ...standLimits.value, longestWalkS: minutes * 60 })
          }
        />
      </div>
      <div class="row">
        <span>
          {standArea.value ? say('spots.insideAreaDrawn') : say('spots.whereverWalkLeads')}
        </span>
        <button
          type="button"
          onClick={() =>
            startDrawing(say('spots.areaStand'), 'area', (geometry) => {
              if (geometry.type === 'Polygon') standArea.value = geometry
            })
          }
        >
          {say('spots.onlyInside')}
        </button>
        {standArea.value && (
          <button type="button" onClick={() => (standArea.value = null)}>
            {say('spots.everywhere')}
          </button>
        )}
      </div>
      <div class="switch spaced" role="group" aria-label={say('spots.whatCounts')}>
        {SCORES.map(([kind, label]) => (
          <button
            type="button"
            key={kind}
            aria-pressed={score.value === kind}
            onClick={() => {
              score.value = kind
              if (heat.value) void findSpots()
            }}
          >
            {say(label)}
          </button>
        ))}
      </div>
      <div class="row">
        <button
          type="button"
          class="primary"
          disabled={isLooking.value}
          onClick={() => void findSpots()}
        >
          {say('spots.findLaunchSpots')}
        </button>
        {(heat.value || spotList.value) && (
          <button type="button" onClick={forgetSpots}>
            {say('common.forget')}
          </button>
        )}
        <button
          type="button"
          title={say('spots.sideSideSpotsSame')}
          onClick={() => void compare(say('common.launchPoint'), setup.value.launch)}
        >
          {say('spots.compareLaunchPoint')}
        </button>
      </div>
      <p class="section-note small">{say('spots.targets', { targets: targets.value.length })}</p>
      {searchProblem.value && <p class="caution-note">{searchProblem.value}</p>}
      {isStale.value && (heat.value || found) && (
        <p class="caution-note">{say('spots.somethingHasChangedSince')}</p>
      )}
      {heat.value && <HeatLegend most={heat.value.most} />}
      {found && <SpotTable spots={found.spots} />}
      {found?.pair && (
        <p class="section-note small">
          {say('spots.twoPlacesSpotsTogether', {
            first: found.pair.first + 1,
            second: found.pair.second + 1,
            share: formatShare(found.pair.share),
          })}
        </p>
      )}
      <Comparison />
    </Section>
  )
}

function HeatLegend({ most }: { most: number }) {
  return (
    <div class="heat-legend">
      <span>0 %</span>
      <span class="heat-bar" />
      <span>{say('spots.shareOfTargets', { most: formatShare(most) })}</span>
      <label class="check" title={say('spots.antennaTakenAimedAnew')}>
        <input
          type="checkbox"
          checked={isHeatShown.value}
          onChange={(event) => (isHeatShown.value = event.currentTarget.checked)}
        />
        {say('spots.show')}
      </label>
    </div>
  )
}

function SpotTable({ spots }: { spots: readonly ListedSpot[] }) {
  const kind = score.value
  if (spots.length === 0) {
    return <p class="section-note">{say('spots.nowhereThereAnyTarget')}</p>
  }
  return (
    <>
      <table class="cols">
        <thead>
          <tr>
            <th scope="col">{say('spots.spot')}</th>
            <th scope="col" title={say('spots.exactShareTargetsAntennas')}>
              {say('spots.exact')}
            </th>
            <th scope="col" title={say('spots.marginWorstTarget')}>
              {say('spots.worst')}
            </th>
            <th scope="col">{say('common.walk')}</th>
            <th scope="col" title={say('spots.shareSkyAboveSkyline')}>
              {say('spots.sky')}
            </th>
            <th>
              <span class="only-heard">{say('common.choose')}</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {spots.map((spot, i) => (
            <tr key={i} class={chosenSpot.value === i ? 'chosen-row' : ''}>
              <th scope="row">
                <button
                  type="button"
                  class="link"
                  aria-pressed={chosenSpot.value === i}
                  onClick={() => (chosenSpot.value = i)}
                >
                  {i + 1}
                </button>
              </th>
              <td>{formatShare(spot[kind])}</td>
              <td>{Number.isNaN(spot.worstDb) ? '–' : `${formatNumber(spot.worstDb, 0)} dB`}</td>
              <td>{spot.walkS === null ? say('common.noWay') : formatWalk(spot.walkS)}</td>
              <td>{formatNumber(100 * spot.skyView, 0)} %</td>
              <td class="found-tools">
                <button
                  type="button"
                  class="add"
                  aria-label={say('spots.compareSpot', { i: i + 1 })}
                  title={say('spots.sideSide')}
                  onClick={() => void compare(say('spots.spotNumbered', { i: i + 1 }), spot.at)}
                >
                  =
                </button>
                <button
                  type="button"
                  class="add"
                  aria-label={say('spots.standSpot', { i: i + 1 })}
                  title={say('spots.putLaunchPointThere')}
                  onClick={() => standAt(spot)}
                >
                  ✓
                </button>
                <button
                  type="button"
                  class="add"
                  aria-label={say('spots.keepSpotPlan', { i: i + 1 })}
                  title={say('spots.keepPlanAnotherLaunch')}
                  onClick={() => keepPlace('other launch point', spot.at)}
                >
                  +
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <ChosenSpot />
    </>
  )
}

/** True for an antenna that has somewhere to point. */
function isAimed(branch: Branch | undefined): boolean {
  return (
    branch !== undefined && branch.antenna.kind !== 'isotropic' && branch.antenna.kind !== 'dipole'
  )
}

function ChosenSpot() {
  const spot = chosenSpot.value === null ? null : spotList.value?.spots[chosenSpot.value]
  if (!spot) return null
  const { units } = preferences.value
  return (
    <div class="selected-area">
      <dl class="facts">
        <dt>{say('common.ground')}</dt>
        <dd>
          {say('spots.amslSteep', {
            groundM: formatHeight(spot.groundM, units),
            slopeDeg: formatNumber(spot.slopeDeg, 0),
          })}
        </dd>
        <dt>{say('spots.exactly')}</dt>
        <dd>
          {say('common.sightFresnelMargin', {
            sight: formatShare(spot.sight),
            fresnel: formatShare(spot.fresnel),
            margin: formatShare(spot.margin),
          })}
        </dd>
        <dt>{say('spots.search')}</dt>
        <dd>{formatShare(spot.searchedShare)}</dd>
        {spot.aims.map(
          (aim, i) =>
            isAimed(setup.value.video.branches[i]) && (
              <>
                <dt>
                  {say('common.antenna')} {spot.aims.length > 1 && i + 1}
                </dt>
                <dd>
                  {say('spots.tilt', {
                    azimuthDeg: formatNumber(aim.azimuthDeg, 0),
                    tiltDeg: formatNumber(aim.tiltDeg, 0),
                  })}
                </dd>
              </>
            ),
        )}
      </dl>
      <div class="row">
        <button type="button" onClick={() => standAt(spot)}>
          {say('common.standHere')}
        </button>
      </div>
    </div>
  )
}

function batteryWords(leftShare: number | null): string {
  if (leftShare === null || Number.isNaN(leftShare)) return '–'
  return leftShare < 0 ? say('common.empty') : formatShare(leftShare)
}

/** Launch points side by side. */
function Comparison() {
  const shown = compared.value
  if (shown.length === 0) return null
  const { units } = preferences.value
  const rows: readonly (readonly [string, (spot: Compared) => string])[] = [
    [say('common.margin'), (spot) => formatShare(spot.margin)],
    [say('common.fresnel'), (spot) => formatShare(spot.fresnel)],
    [say('spots.sight'), (spot) => formatShare(spot.sight)],
    [
      say('spots.worst'),
      (spot) => (Number.isNaN(spot.worstDb) ? '–' : `${formatNumber(spot.worstDb, 0)} dB`),
    ],
    [
      say('spots.longestGap'),
      (spot) => (spot.gapM === null ? '–' : formatDistance(spot.gapM, units)),
    ],
    [say('spots.corridorOpen'), (spot) => formatShare(spot.open)],
    [say('spots.batteryLeft'), (spot) => batteryWords(spot.leftShare)],
    [
      say('spots.site', { flyingHeightM: formatHeight(shown[0].flyingHeightM, units) }),
      (spot) => formatShare(spot.siteShare),
    ],
    [say('common.landingAreas'), (spot) => formatNumber(spot.seenLandings, 0)],
    [say('spots.openSky'), (spot) => `${formatNumber(100 * spot.skyView, 0)} %`],
    [say('common.ground'), (spot) => formatHeight(spot.groundM, units)],
  ]
  return (
    <>
      <h3>{say('spots.sideSide')}</h3>
      <p class="section-note small">{say('spots.eachVideoAntennasAimed')}</p>
      <div class="compared">
        <table class="cols">
          <thead>
            <tr>
              <th scope="col" />
              {shown.map(({ name }) => (
                <th key={name} scope="col">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map(([name, words]) => (
              <tr key={name}>
                <th scope="row">{name}</th>
                {shown.map((each) => (
                  <td key={each.name}>{words(each)}</td>
                ))}
              </tr>
            ))}
            <tr>
              <th />
              {shown.map((spot) => (
                <td key={spot.name} class="compare-tools">
                  <button
                    type="button"
                    class="add"
                    aria-label={say('spots.standAt', { name: spot.name })}
                    title={say('spots.putLaunchPointThere')}
                    onClick={() => standAt(spot)}
                  >
                    ✓
                  </button>
                  <button
                    type="button"
                    class="add"
                    aria-label={say('spots.takeOutComparison', { name: spot.name })}
                    title={say('spots.takeOut')}
                    onClick={() => dropCompared(spot.name)}
                  >
                    ×
                  </button>
                </td>
              ))}
            </tr>
          </tbody>
        </table>
      </div>
    </>
  )
}
