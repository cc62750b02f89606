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
import { Section } from './Section'

const SCORES: readonly (readonly [Score, string])[] = [
  ['margin', 'Wanted margin'],
  ['fresnel', 'Fresnel'],
  ['sight', 'Sight'],
]
const WEIGHTS: readonly (readonly [keyof TargetWeights, string, string])[] = [
  ['route', 'Route', 'The route as flown.'],
  ['area', 'Area read', 'The area drawn under Read a line or an area, at the flying height.'],
  ['cols', 'Cols', 'The cols found under Ridge crossings, at the flying height.'],
]

/** Where to stand so that what should be flown is in the picture. */
export function SpotsSection() {
  const found = spotList.value
  return (
    <Section
      title="Launch spots"
      summary={
        found && found.spots.length > 0 ? `best ${formatShare(found.spots[0][score.value])}` : ''
      }
    >
      <p class="section-note">
        Finds where to stand for what you want to fly: a route, an area, cols. Each counts as much
        as its weight, 0 for not at all.
      </p>
      <div class="fields">
        {WEIGHTS.map(([kind, label, help]) => (
          <NumberField
            key={kind}
            label={`Weight of ${label.toLowerCase()}`}
            unit=""
            value={targetWeights.value[kind]}
            digits={1}
            min={0}
            max={100}
            step={1}
            help={help}
            onChange={(weight) =>
              (targetWeights.value = { ...targetWeights.value, [kind]: weight })
            }
          />
        ))}
        <NumberField
          label="Steepest ground"
          unit="°"
          value={standLimits.value.steepestDeg}
          digits={0}
          min={STAND_RANGES.steepestDeg[0]}
          max={STAND_RANGES.steepestDeg[1]}
          step={5}
          help="To stand on."
          onChange={(steepestDeg) => (standLimits.value = { ...standLimits.value, steepestDeg })}
        />
        <NumberField
          label="Longest way on foot"
          unit="min"
          value={(standLimits.value.longestWalkS ?? 0) / 60}
          digits={0}
          min={STAND_RANGES.longestWalkS[0] / 60}
          max={STAND_RANGES.longestWalkS[1] / 60}
          step={10}
          help="From the road head, or the launch point where there is none (see Landing areas)."
          onChange={(minutes) =>
            (standLimits.value = { ...standLimits.value, longestWalkS: minutes * 60 })
          }
        />
      </div>
      <div class="row">
        <span>{standArea.value ? 'Inside the area drawn' : 'Wherever the walk leads'}</span>
        <button
          type="button"
          onClick={() =>
            startDrawing('Area to stand in', 'area', (geometry) => {
              if (geometry.type === 'Polygon') standArea.value = geometry
            })
          }
        >
          Only inside…
        </button>
        {standArea.value && (
          <button type="button" onClick={() => (standArea.value = null)}>
            Everywhere
          </button>
        )}
      </div>
      <div class="switch spaced" role="group" aria-label="What counts">
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
            {label}
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
          Find launch spots
        </button>
        {(heat.value || spotList.value) && (
          <button type="button" onClick={forgetSpots}>
            Forget
          </button>
        )}
        <button
          type="button"
          title="Side by side with spots, for the same targets"
          onClick={() => void compare('Launch point', setup.value.launch)}
        >
          Compare launch point
        </button>
      </div>
      <p class="section-note small">{formatNumber(targets.value.length, 0)} targets.</p>
      {searchProblem.value && <p class="caution-note">{searchProblem.value}</p>}
      {isStale.value && (heat.value || found) && (
        <p class="caution-note">Something has changed since this search: search again.</p>
      )}
      {heat.value && <HeatLegend most={heat.value.most} />}
      {found && <SpotTable spots={found.spots} />}
      {found?.pair && (
        <p class="section-note small">
          Two places: spots {found.pair.first + 1} and {found.pair.second + 1} together have{' '}
          {formatShare(found.pair.share)}.
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
      <span>{formatShare(most)} of the targets</span>
      <label
        class="check"
        title="The antenna taken as aimed anew at each target; the list is exact"
      >
        <input
          type="checkbox"
          checked={isHeatShown.value}
          onChange={(event) => (isHeatShown.value = event.currentTarget.checked)}
        />
        show
      </label>
    </div>
  )
}

function SpotTable({ spots }: { spots: readonly ListedSpot[] }) {
  const kind = score.value
  if (spots.length === 0) {
    return <p class="section-note">From nowhere there is any target to be had.</p>
  }
  return (
    <>
      <table class="cols">
        <thead>
          <tr>
            <th scope="col">Spot</th>
            <th scope="col" title="Exact share of the targets, antennas aimed as well as can be">
              Exact
            </th>
            <th scope="col" title="Margin of the worst target">
              Worst
            </th>
            <th scope="col">Walk</th>
            <th scope="col" title="Share of the sky above the skyline">
              Sky
            </th>
            <th>
              <span class="only-heard">Choose</span>
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
              <td>{spot.walkS === null ? 'no way' : formatWalk(spot.walkS)}</td>
              <td>{formatNumber(100 * spot.skyView, 0)} %</td>
              <td class="found-tools">
                <button
                  type="button"
                  class="add"
                  aria-label={`Compare spot ${i + 1}`}
                  title="Side by side"
                  onClick={() => void compare(`Spot ${i + 1}`, spot.at)}
                >
                  =
                </button>
                <button
                  type="button"
                  class="add"
                  aria-label={`Stand at spot ${i + 1}`}
                  title="Put the launch point there and aim the video antennas"
                  onClick={() => standAt(spot)}
                >
                  ✓
                </button>
                <button
                  type="button"
                  class="add"
                  aria-label={`Keep spot ${i + 1} in the plan`}
                  title="Keep it in the plan as another launch point"
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
        <dt>Ground</dt>
        <dd>
          {formatHeight(spot.groundM, units)} AMSL, {formatNumber(spot.slopeDeg, 0)}° steep
        </dd>
        <dt>Exactly</dt>
        <dd>
          sight {formatShare(spot.sight)}, Fresnel {formatShare(spot.fresnel)}, margin{' '}
          {formatShare(spot.margin)}
        </dd>
        <dt>By the search</dt>
        <dd>{formatShare(spot.searchedShare)}</dd>
        {spot.aims.map(
          (aim, i) =>
            isAimed(setup.value.video.branches[i]) && (
              <>
                <dt>Antenna {spot.aims.length > 1 && i + 1}</dt>
                <dd>
                  {formatNumber(aim.azimuthDeg, 0)}°, tilt {formatNumber(aim.tiltDeg, 0)}°
                </dd>
              </>
            ),
        )}
      </dl>
      <div class="row">
        <button type="button" onClick={() => standAt(spot)}>
          Stand here
        </button>
      </div>
    </div>
  )
}

function batteryWords(leftShare: number | null): string {
  if (leftShare === null || Number.isNaN(leftShare)) return '–'
  return leftShare < 0 ? 'empty' : formatShare(leftShare)
}

/** Launch points side by side. */
function Comparison() {
  const shown = compared.value
  if (shown.length === 0) return null
  const { units } = preferences.value
  const rows: readonly (readonly [string, (spot: Compared) => string])[] = [
    ['Margin', (spot) => formatShare(spot.margin)],
    ['Fresnel', (spot) => formatShare(spot.fresnel)],
    ['Sight', (spot) => formatShare(spot.sight)],
    ['Worst', (spot) => (Number.isNaN(spot.worstDb) ? '–' : `${formatNumber(spot.worstDb, 0)} dB`)],
    ['Longest gap', (spot) => (spot.gapM === null ? '–' : formatDistance(spot.gapM, units))],
    ['Corridor open', (spot) => formatShare(spot.open)],
    ['Battery left', (spot) => batteryWords(spot.leftShare)],
    [
      `Site at ${formatHeight(shown[0].flyingHeightM, units)}`,
      (spot) => formatShare(spot.siteShare),
    ],
    ['Landing areas', (spot) => formatNumber(spot.seenLandings, 0)],
    ['Open sky', (spot) => `${formatNumber(100 * spot.skyView, 0)} %`],
    ['Ground', (spot) => formatHeight(spot.groundM, units)],
  ]
  return (
    <>
      <h3>Side by side</h3>
      <p class="section-note small">Each with the video antennas aimed for it as well as can be.</p>
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
                    aria-label={`Stand at ${spot.name}`}
                    title="Put the launch point there and aim the video antennas"
                    onClick={() => standAt(spot)}
                  >
                    ✓
                  </button>
                  <button
                    type="button"
                    class="add"
                    aria-label={`Take ${spot.name} out of the comparison`}
                    title="Take it out"
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
