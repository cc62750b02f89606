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
import { Section } from './Section'

const FLOOR_NAMES: Readonly<Record<FloorKind, string>> = {
  margin: 'Wanted margin of both links',
  fresnel: 'Fresnel clearance',
  sight: 'Sight alone',
}

/** The route: drawn on the map, listed here, kept between floor and ceiling. */
export function RouteSection() {
  const { route } = setup.value
  const its = flownLine.value
  const { units } = preferences.value
  const last = its ? its.distanceM[its.distanceM.length - 1] : 0
  const count = route.waypoints.length
  const points = `${count} ${count === 1 ? 'waypoint' : 'waypoints'}`
  const summary =
    count === 0
      ? 'none yet'
      : its
        ? `${points}, ${formatDistance(last, units)}`
        : `${points}, off the terrain`
  return (
    <Section title="Route" summary={summary}>
      <div class="row first-row">
        <button type="button" class="primary" onClick={drawRoute}>
          {count === 0 ? 'Draw on the map' : 'Draw on'}
        </button>
        <button
          type="button"
          disabled={!mapCentre.value}
          title="A waypoint in the middle of the map"
          onClick={() => mapCentre.value && addWaypoints([mapCentre.value])}
        >
          Add in the middle
        </button>
      </div>
      {count === 0 ? (
        <p class="section-note">
          The flight begins over the launch point. Click waypoint after waypoint; they can be
          dragged, and a leg's handle dragged becomes one more.
        </p>
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
    'Route',
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
        title="Back over the same waypoints to the launch point"
        onClick={() => changeRoute(outAndBack(route))}
      >
        Out and back
      </button>
      <button
        type="button"
        disabled={route.endsAtLaunch}
        title="From the last waypoint straight back over the launch point"
        onClick={() => changeRoute(loop(route))}
      >
        Loop
      </button>
      <button
        type="button"
        title="The same waypoints the other way around"
        onClick={() => changeRoute(reversed(route))}
      >
        Reverse
      </button>
      <button type="button" onClick={clearRoute}>
        Clear
      </button>
    </div>
  )
}

function WaypointList({ route, units }: { route: Route; units: Units }) {
  const { waypoints } = route
  return (
    <ol class="waypoints" aria-label="Waypoints">
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
  const name = waypoint.name || `Waypoint ${index + 1}`
  return (
    <li>
      <div class="waypoint-head">
        <span class="waypoint-number" aria-hidden="true">
          {index + 1}
        </span>
        <input
          type="text"
          class="obstacle-name"
          aria-label={`Name of waypoint ${index + 1}`}
          placeholder={`Waypoint ${index + 1}`}
          value={waypoint.name}
          onChange={(event) => change({ name: event.currentTarget.value.trim() })}
        />
        <button
          type="button"
          aria-label={`${name} earlier`}
          title="Earlier"
          disabled={index === 0}
          onClick={() => changeRoute(moveWaypoint(route(), index, index - 1))}
        >
          ↑
        </button>
        <button
          type="button"
          aria-label={`${name} later`}
          title="Later"
          disabled={isLast}
          onClick={() => changeRoute(moveWaypoint(route(), index, index + 1))}
        >
          ↓
        </button>
        <button
          type="button"
          aria-label={`Put a waypoint after ${name}`}
          title="Put one after it"
          onClick={() => insertAfter(index)}
        >
          +
        </button>
        <button
          type="button"
          aria-label={`Remove ${name}`}
          title="Remove"
          onClick={() => changeRoute(deleteWaypoint(route(), index))}
        >
          ×
        </button>
      </div>
      <div class="waypoint-fields">
        <NumberField
          label={`Height of ${name}`}
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
          aria-label={`Height of ${name} is over`}
          value={waypoint.heightOver}
          onChange={(event) => changeReference(index, event.currentTarget.value === 'sea')}
        >
          <option value="ground">AGL</option>
          <option value="sea">AMSL</option>
        </select>
        <select
          aria-label={`Leg to ${name}`}
          title="How the leg that leads here is flown: along with the terrain, or in one straight line"
          value={waypoint.leg}
          onChange={(event) =>
            change({ leg: event.currentTarget.value === 'straight' ? 'straight' : 'terrain' })
          }
        >
          <option value="terrain">terrain</option>
          <option value="straight">straight</option>
        </select>
        <NumberField
          label={`Loiter at ${name}`}
          isLabelHidden
          unit="s"
          value={waypoint.loiterS}
          digits={0}
          min={ROUTE_LIMITS.loiterS[0]}
          max={ROUTE_LIMITS.loiterS[1]}
          step={10}
          help="Seconds spent over it."
          onChange={(loiterS) => change({ loiterS })}
        />
      </div>
      <details>
        <summary>Position</summary>
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
        label="Take-off height, AGL"
        unit={symbol}
        value={route.takeOffHeightM / metres}
        digits={0}
        min={Math.ceil(ROUTE_LIMITS.takeOffHeightM[0] / metres)}
        max={Math.floor(ROUTE_LIMITS.takeOffHeightM[1] / metres)}
        step={5}
        help="Straight up over the launch point before the first leg."
        onChange={(height) => changeRoute({ ...route, takeOffHeightM: height * metres })}
      />
      {route.endsAtLaunch && (
        <div class="field">
          <label for="home-leg">Last leg, home</label>
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
            <option value="terrain">terrain</option>
            <option value="straight">straight</option>
          </select>
          <button
            type="button"
            class="link"
            onClick={() => changeRoute({ ...route, endsAtLaunch: false })}
          >
            do not come home
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
      <h3>Corridor</h3>
      <div class="fields">
        <NumberField
          label="Ceiling, AGL"
          unit={symbol}
          value={limits.ceilingM / metres}
          digits={0}
          min={Math.ceil(LIMIT_RANGES.ceilingM[0] / metres)}
          max={Math.floor(LIMIT_RANGES.ceilingM[1] / metres)}
          step={10}
          help="Highest above ground. 120 m is common, but local law decides: check yours."
          onChange={(height) => change({ ceilingM: height * metres })}
        />
        <NumberField
          label="Clearance wanted"
          unit={symbol}
          value={limits.clearanceM / metres}
          digits={0}
          min={LIMIT_RANGES.clearanceM[0]}
          max={Math.floor(LIMIT_RANGES.clearanceM[1] / metres)}
          step={5}
          help="Least distance over ground, trees, obstacles and wires."
          onChange={(height) => change({ clearanceM: height * metres })}
        />
        <div class="field field-wide">
          <label for="floor-kind">Link floor: lowest height with</label>
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
                {FLOOR_NAMES[kind]}
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
              title="Raises waypoints and adds some where the line is under the floor or too close, never over the ceiling"
              onClick={liftRoute}
            >
              Lift to the floor
            </button>
          </div>
          {closedM > 0 && (
            <p class="caution-note">
              On {formatDistance(closedM, units)} of the route there is no height between floor and
              ceiling.
            </p>
          )}
        </>
      )}
    </>
  )
}
