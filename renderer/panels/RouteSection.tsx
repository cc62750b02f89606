import { memo } from 'preact/compat'
import {
  FLOOR_KINDS,
  lengthOf,
  LIMIT_RANGES,
  type FloorKind,
  type RouteLimits,
} from '../../core/route/corridor'
import {
  changeWaypoint,
  deleteWaypoint,
  loop,
  moveWaypoint,
  outAndBack,
  reversed,
  ROUTE_LIMITS,
  type Route,
  type Waypoint,
} from '../../core/route/route'
import { startDrawing } from '../state/drawing'
import { preferences } from '../state/preferences'
import {
  addWaypoints,
  changeRoute,
  clearRoute,
  conflicts,
  flownLine,
  isCorridorRough,
  liftRoute,
  line,
  moveWaypointTo,
} from '../state/route'
import { changeSetup, setup } from '../state/setup'
import { mapCentre } from '../state/site'
import { formatDistance, HEIGHT_UNIT, type Units } from '../../core/words/units'
import { NumberField } from './NumberField'
import { PositionFields } from './PositionFields'
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

const FLOOR_NAMES: Readonly<Record<FloorKind, TextKey>> = {
  margin: 'route.wantedMarginBothLinks',
  fresnel: 'route.fresnelClearance',
  sight: 'route.sightAlone',
}

/** The route: drawn on the map, listed here, kept between floor and ceiling. */
export function RouteSection() {
  const { route } = setup.value
  const its = flownLine.value
  const { units } = preferences.value
  const last = its ? its.distanceM[its.distanceM.length - 1] : 0
  const count = route.waypoints.length
  const points = say('route.count', { count })
  const summary =
    count === 0
      ? say('route.noneYet')
      : its
        ? `${points}, ${formatDistance(last, units)}`
        : say('route.offTerrain', { points })
  return (
    <Section title={say('common.route')} summary={summary}>
      <div class="row first-row">
        <button type="button" class="primary" onClick={drawRoute}>
          {count === 0 ? say('route.drawMap') : say('route.draw')}
        </button>
        <button
          type="button"
          disabled={!mapCentre.value}
          title={say('route.waypointMiddleMap')}
          onClick={() => mapCentre.value && addWaypoints([mapCentre.value])}
        >
          {say('route.addMiddle')}
        </button>
      </div>
      {count === 0 ? (
        <p class="section-note">{say('route.flightBeginsOverLaunch')}</p>
      ) : (
        <>
          <RouteTools route={route} />
          {typeof line.value === 'string' && <p class="caution-note">{line.value}</p>}
          <WaypointList route={route} units={units} />
          <HomeLeg route={route} units={units} />
        </>
      )}
      <Limits />
    </Section>
  )
}

function drawRoute(): void {
  startDrawing(
    say('common.route'),
    'line',
    (geometry) => {
      const positions =
        geometry.type === 'Point'
          ? [geometry.coordinates]
          : geometry.type === 'LineString'
            ? geometry.coordinates
            : []
      addWaypoints(positions.map(([lonDeg, latDeg]) => ({ latDeg, lonDeg })))
    },
    1,
  )
}

function RouteTools({ route }: { route: Route }) {
  return (
    <div class="row">
      <button
        type="button"
        disabled={route.endsAtLaunch}
        title={say('route.backOverSameWaypoints')}
        onClick={() => changeRoute(outAndBack(route))}
      >
        {say('route.outBack')}
      </button>
      <button
        type="button"
        disabled={route.endsAtLaunch}
        title={say('route.lastWaypointStraightBack')}
        onClick={() => changeRoute(loop(route))}
      >
        {say('route.loop')}
      </button>
      <button
        type="button"
        title={say('route.sameWaypointsOtherWay')}
        onClick={() => changeRoute(reversed(route))}
      >
        {say('route.reverse')}
      </button>
      <button type="button" onClick={clearRoute}>
        {say('route.clear')}
      </button>
    </div>
  )
}

function WaypointList({ route, units }: { route: Route; units: Units }) {
  const { waypoints } = route
  return (
    <ol class="waypoints" aria-label={say('route.waypoints')}>
      {waypoints.map((waypoint, i) => (
        <WaypointRow
          key={i}
          waypoint={waypoint}
          index={i}
          isLast={i === waypoints.length - 1}
          units={units}
        />
      ))}
    </ol>
  )
}

interface WaypointRowProps {
  readonly waypoint: Waypoint
  readonly index: number
  readonly isLast: boolean
  readonly units: Units
}

/** Drawn again only when its own waypoint changes: a long route is edited while it is dragged. */
const WaypointRow = memo(({ waypoint, index, isLast, units }: WaypointRowProps) => {
  const route = () => setup.peek().route
  const change = (part: Partial<Waypoint>) => changeRoute(changeWaypoint(route(), index, part))
  const { symbol, metres } = HEIGHT_UNIT[units]
  const name = waypoint.name || say('route.waypoint', { index: index + 1 })
  return (
    <li>
      <div class="waypoint-head">
        <span class="waypoint-number" aria-hidden="true">
          {index + 1}
        </span>
        <input
          type="text"
          class="obstacle-name"
          aria-label={say('route.nameWaypoint', { index: index + 1 })}
          placeholder={say('route.waypoint', { index: index + 1 })}
          value={waypoint.name}
          onChange={(event) => change({ name: event.currentTarget.value.trim() })}
        />
        <button
          type="button"
          aria-label={say('route.earlier', { name })}
          title={say('route.earlierButton')}
          disabled={index === 0}
          onClick={() => changeRoute(moveWaypoint(route(), index, index - 1))}
        >
          ↑
        </button>
        <button
          type="button"
          aria-label={say('route.later', { name })}
          title={say('route.laterButton')}
          disabled={isLast}
          onClick={() => changeRoute(moveWaypoint(route(), index, index + 1))}
        >
          ↓
        </button>
        <button
          type="button"
          aria-label={say('route.putWaypointAfter', { name })}
          title={say('route.putOneAfter')}
          onClick={() => insertAfter(index)}
        >
          +
        </button>
        <button
          type="button"
          aria-label={say('common.removeNamed', { name })}
          title={say('common.remove')}
          onClick={() => changeRoute(deleteWaypoint(route(), index))}
        >
          ×
        </button>
      </div>
      <div class="waypoint-fields">
        <NumberField
          label={say('common.heightOf', { name })}
          help={say('route.heightHelp')}
          isLabelHidden
          unit={symbol}
          value={waypoint.heightM / metres}
          digits={0}
          min={Math.ceil(ROUTE_LIMITS.heightM[0] / metres)}
          max={Math.floor(ROUTE_LIMITS.heightM[1] / metres)}
          step={5}
          onChange={(height) => change({ heightM: height * metres })}
        />
        <select
          aria-label={say('route.heightOver', { name })}
          value={waypoint.heightOver}
          onChange={(event) => changeReference(index, event.currentTarget.value === 'sea')}
        >
          <option value="ground">{say('route.agl')}</option>
          <option value="sea">{say('route.amsl')}</option>
        </select>
        <select
          aria-label={say('route.leg', { name })}
          title={say('route.howLegLeadsHere')}
          value={waypoint.leg}
          onChange={(event) =>
            change({ leg: event.currentTarget.value === 'straight' ? 'straight' : 'terrain' })
          }
        >
          <option value="terrain">{say('route.terrain')}</option>
          <option value="straight">{say('route.straight')}</option>
        </select>
        <NumberField
          label={say('route.loiter', { name })}
          isLabelHidden
          unit={say('route.loiterUnit')}
          value={waypoint.loiterS}
          digits={0}
          min={ROUTE_LIMITS.loiterS[0]}
          max={ROUTE_LIMITS.loiterS[1]}
          step={10}
          help={say('route.secondsSpentOver')}
          onChange={(loiterS) => change({ loiterS })}
        />
      </div>
      <details>
        <summary>{say('common.position')}</summary>
        <div class="fields">
          <PositionFields of={name} at={waypoint} onChange={(at) => moveWaypointTo(index, at)} />
        </div>
      </details>
    </li>
  )
})

/** Half-way to the next waypoint, or a step on beyond the last. */
function insertAfter(index: number): void {
  const { route, launch } = setup.peek()
  const here = route.waypoints[index]
  const next = route.waypoints[index + 1]
  const before = route.waypoints[index - 1] ?? launch
  const [a, b] = next ? [here, next] : [before, here]
  const t = next ? 0.5 : 1.5
  const at = {
    latDeg: a.latDeg + (b.latDeg - a.latDeg) * t,
    lonDeg: a.lonDeg + (b.lonDeg - a.lonDeg) * t,
  }
  addWaypoints([at], index + 1)
}

/** Measures a height from the other reference; the place in the air stays. */
function changeReference(index: number, isOverSea: boolean): void {
  const { route } = setup.peek()
  const station = flownLine.peek()?.stations.find(({ waypoint }) => waypoint === index)
  if (!station) return
  const heightM = isOverSea ? station.amslM : station.amslM - station.groundM
  const rounded = Math.round(heightM)
  const heightOver = isOverSea ? 'sea' : 'ground'
  changeRoute(changeWaypoint(route, index, { heightM: rounded, heightOver }))
}

function HomeLeg({ route, units }: { route: Route; units: Units }) {
  const { symbol, metres } = HEIGHT_UNIT[units]
  return (
    <div class="fields spaced">
      <NumberField
        label={say('route.takeOffHeightAgl')}
        unit={symbol}
        value={route.takeOffHeightM / metres}
        digits={0}
        min={Math.ceil(ROUTE_LIMITS.takeOffHeightM[0] / metres)}
        max={Math.floor(ROUTE_LIMITS.takeOffHeightM[1] / metres)}
        step={5}
        help={say('route.straightUpOverLaunch')}
        onChange={(height) => changeRoute({ ...route, takeOffHeightM: height * metres })}
      />
      {route.endsAtLaunch && (
        <div class="field">
          <label for="home-leg">{say('route.lastLegHome')}</label>
          <select
            id="home-leg"
            value={route.homeLeg}
            onChange={(event) =>
              changeRoute({
                ...route,
                homeLeg: event.currentTarget.value === 'straight' ? 'straight' : 'terrain',
              })
            }
          >
            <option value="terrain">{say('route.terrain')}</option>
            <option value="straight">{say('route.straight')}</option>
          </select>
          <button
            type="button"
            class="link"
            onClick={() => changeRoute({ ...route, endsAtLaunch: false })}
          >
            {say('route.doNotComeHome')}
          </button>
        </div>
      )}
    </div>
  )
}

/** Floor, ceiling and clearance, and what they make of the route. */
function Limits() {
  const { limits } = setup.value
  const { units } = preferences.value
  const { symbol, metres } = HEIGHT_UNIT[units]
  const change = (part: Partial<RouteLimits>) => changeSetup({ limits: { ...limits, ...part } })
  const closedM = lengthOf(conflicts.value, 'no-height')
  return (
    <>
      <h3>{say('common.corridor')}</h3>
      <div class="fields">
        <NumberField
          label={say('route.ceilingAgl')}
          unit={symbol}
          value={limits.ceilingM / metres}
          digits={0}
          min={Math.ceil(LIMIT_RANGES.ceilingM[0] / metres)}
          max={Math.floor(LIMIT_RANGES.ceilingM[1] / metres)}
          step={10}
          help={say('route.highestAboveGround120')}
          onChange={(height) => change({ ceilingM: height * metres })}
        />
        <NumberField
          label={say('route.clearanceWanted')}
          unit={symbol}
          value={limits.clearanceM / metres}
          digits={0}
          min={LIMIT_RANGES.clearanceM[0]}
          max={Math.floor(LIMIT_RANGES.clearanceM[1] / metres)}
          step={5}
          help={say('route.leastDistanceOverGround')}
          onChange={(height) => change({ clearanceM: height * metres })}
        />
        <div class="field field-wide">
          <label for="floor-kind">{say('route.linkFloorLowestHeight')}</label>
          <select
            id="floor-kind"
            value={limits.floorKind}
            onChange={(event) => {
              const floorKind = FLOOR_KINDS.find((kind) => kind === event.currentTarget.value)
              if (floorKind) change({ floorKind })
            }}
          >
            {FLOOR_KINDS.map((kind) => (
              <option key={kind} value={kind}>
                {say(FLOOR_NAMES[kind])}
              </option>
            ))}
          </select>
        </div>
      </div>
      {flownLine.value && (
        <>
          <div class="row">
            <button
              type="button"
              disabled={isCorridorRough.value}
              title={say('route.raisesWaypointsAddsSome')}
              onClick={liftRoute}
            >
              {say('route.liftFloor')}
            </button>
          </div>
          {closedM > 0 && (
            <p class="caution-note">
              {say('route.routeThereNoHeight', { closedM: formatDistance(closedM, units) })}
            </p>
          )}
        </>
      )}
    </>
  )
}
