import type { ComponentChildren } from 'preact'
import { divertAt } from '../energy/divert'
import { geodesic } from '../geodesy/geodesic'
import { approachDeg } from '../landing/landingArea'
import { LANDED_HEIGHT_M } from '../landing/landing'
import type { PlannedArea } from '../landing/plannedAreas'
import type { Reckoning } from '../plan/reckoning'
import { mwFromDbm, type Link } from '../radio/link'
import { formatWalk, sizeWords } from '../words/landingWords'
import { ANTENNA_NAMES } from '../words/linkWords'
import {
  batteryWords,
  CONFLICT_NAMES,
  conflictWords,
  formatDuration,
  formatMah,
  mahWithSpread,
  turnWords,
  verdictOn,
} from '../words/routeWords'
import {
  formatDistance,
  formatHeight,
  formatNumber,
  formatShare,
  formatSigned,
  formatSpeed,
  SPEED_UNIT,
} from '../words/units'
import { styleOf } from './briefStyle'
import { CorridorDrawing } from './CorridorDrawing'
import type { FieldBrief, PlaceBudget } from './fieldBrief'
import { HorizonDrawing } from './HorizonDrawing'
import { MapDrawing } from './MapDrawing'
import { areaLetter, degreesWords, positionWords, tiltWords, type BriefWords } from './words'

interface PartProps {
  readonly brief: FieldBrief
  readonly words: BriefWords
}

/** A field brief as a whole document that needs nothing beside it: for paper and for the phone. */
export function BriefDocument({ brief, words }: PartProps) {
  const { reckoning } = brief
  return (
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        {/* Whatever a name in the plan says, nothing runs and nothing is fetched. */}
        <meta
          http-equiv="Content-Security-Policy"
          content="default-src 'none'; img-src data:; style-src 'unsafe-inline'"
        />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <title>{words.title}</title>
        {/* The style sheet is this program's own. */}
        <style dangerouslySetInnerHTML={{ __html: styleOf(words.paper) }} />
      </head>
      <body>
        <header>
          <h1>{words.title}</h1>
          <p>
            Field brief, {words.madeAt}. Site: {brief.site.terrain.name}.
          </p>
        </header>
        <Key brief={brief} words={words} />
        <Section title="Map">
          <MapDrawing brief={brief} words={words} />
          <p class="cautions">
            Terrain models miss trees, wires and buildings; heights, signal, charge and times on
            foot are predictions and no promise. Keep to local aviation, radio and avalanche rules;
            when in doubt ask licensed practice. The pilot on the spot decides.
          </p>
        </Section>
        {typeof reckoning === 'string' && (
          <Section title="Route">
            <p class="alarm">{reckoning}</p>
          </Section>
        )}
        {reckoning && typeof reckoning !== 'string' && (
          <>
            <Legs brief={brief} words={words} found={reckoning} />
            <Corridor brief={brief} words={words} found={reckoning} />
          </>
        )}
        <Radio brief={brief} words={words} />
        <Budgets brief={brief} words={words} />
        <LandingAreas brief={brief} words={words} />
        <Places brief={brief} words={words} />
        <Checks brief={brief} />
      </body>
    </html>
  )
}

function Section({
  title,
  class: name = '',
  children,
}: {
  title: string
  class?: string
  children: ComponentChildren
}) {
  return (
    <section class={name}>
      <h2>{title}</h2>
      {children}
    </section>
  )
}

/** What must be known by heart: where to turn, what is left, where to stand. */
function Key({ brief, words }: PartProps) {
  const { plan, launch, reckoning, errorM } = brief
  const { units } = words
  const found = reckoning && typeof reckoning !== 'string' ? reckoning : null
  const { speedMs, fromDeg, atHeightM } = plan.wind
  return (
    <section class="key" aria-label="Key figures">
      {found && (
        <Turning
          found={found}
          leastCellV={plan.battery.leastCellV}
          spreadShare={plan.aircraft.currentSpreadShare}
          words={words}
        />
      )}
      <dl>
        <dt>Launch point</dt>
        <dd>
          <Spot at={launch} words={words} />, ground {formatHeight(launch.groundM, units)} AMSL,
          antenna {formatHeight(plan.antennaHeightM, units, 1)} up
        </dd>
        {found && (
          <>
            <dt>Ceiling, clearance</dt>
            <dd>
              {formatHeight(plan.limits.ceilingM, units)} AGL,{' '}
              {formatHeight(plan.limits.clearanceM, units)} over everything
            </dd>
          </>
        )}
        <dt>Wind planned with</dt>
        <dd>
          {speedMs === 0
            ? 'calm'
            : `${formatSpeed(speedMs, units)} from ${degreesWords(fromDeg)}, ${formatHeight(atHeightM, units)} above ground`}
        </dd>
        <dt>Aircraft, pack</dt>
        <dd>
          {plan.aircraft.name}; {batteryWords(plan.battery)}
        </dd>
        <dt>Terrain error</dt>
        <dd>{formatHeight(errorM, units)} (nine heights of ten)</dd>
      </dl>
    </section>
  )
}

function Turning({
  found,
  leastCellV,
  spreadShare,
  words,
}: {
  found: Reckoning
  leastCellV: number
  spreadShare: number | null
  words: BriefWords
}) {
  const { line, flight, turns, flyer } = found
  const { units } = words
  const last = line.distanceM.length - 1
  const end = flight.landed ?? { timeS: flight.timeS[last], takenMah: flight.takenMah[last] }
  const refusal = flight.legs.find((leg) => typeof leg === 'string')
  const [kind, verdict] =
    refusal === undefined ? verdictOn(found, end.takenMah) : ['blocked', 'Cannot be flown as drawn']
  return (
    <>
      <div class="turn-by">
        <p>
          <b>Turn by, way back</b>
          <strong>{turnWords(turns.retraced, units)}</strong>
        </p>
        <p>
          <b>Turn by, straight</b>
          <strong>{turnWords(turns.straight, units)}</strong>
        </p>
        <p>
          <b>{flight.landed ? 'Landed' : 'At the end'}</b>
          <strong>
            {refusal === undefined
              ? `${formatDistance(line.distanceM[last], units)}, ${formatDuration(end.timeS)}, ${mahWithSpread(end.takenMah, spreadShare)}`
              : '–'}
          </strong>
        </p>
        <p>
          <b>Reserve begins at</b>
          <strong>
            {formatMah(flyer.pack.budgetMah)} of {formatMah(flyer.pack.usableMah)}
          </strong>
        </p>
      </div>
      {spreadShare !== null && (
        <p class="small">± by the scatter of whole minutes of a flight (one standard deviation).</p>
      )}
      <p class={kind === 'blocked' ? 'verdict alarm' : 'verdict'}>
        {verdict}. {refusal ?? ''}
      </p>
      {flight.sagSample !== null && (
        <p class="alarm">
          The pack sags under {formatNumber(leastCellV, 2)} V a cell from{' '}
          {formatDistance(line.distanceM[flight.sagSample], units)} on.
        </p>
      )}
    </>
  )
}

function Spot({ at, words }: { at: { latDeg: number; lonDeg: number }; words: BriefWords }) {
  return (
    <a class="spot" href={`geo:${at.latDeg.toFixed(6)},${at.lonDeg.toFixed(6)}`}>
      {positionWords(at, words)}
    </a>
  )
}

/** Every leg with its height, way, time and charge, and what is in reach from its end. */
function Legs({ brief, words, found }: PartProps & { found: Reckoning }) {
  const { units } = words
  const { line, flight, turns } = found
  const { launch, plan } = brief
  const { accepted } = plan.landing
  const speed = (ms: number) => formatNumber(ms / SPEED_UNIT[units].metresPerSecond, 0)
  return (
    <Section title="Legs">
      <div class="wide" tabIndex={0} role="region" aria-label="Legs, a wide table">
        <table>
          <thead>
            <tr>
              <th scope="col">Leg to</th>
              <th scope="col">Height</th>
              <th scope="col">Way</th>
              <th scope="col">Speed, {SPEED_UNIT[units].symbol}</th>
              <th scope="col">Min</th>
              <th scope="col">mAh</th>
              <th scope="col">Left</th>
              <th scope="col">At the end of it</th>
              <th scope="col">Seen from launch</th>
              {accepted.length > 0 && <th scope="col">Land at</th>}
            </tr>
          </thead>
          <tbody>
            {line.legs.map((leg, i) => {
              const flown = flight.legs[i]
              const { to } = leg
              const divert = divertAt(turns.diverts, to.sample)
              const away = geodesic(launch, to)
              const rise = to.amslM - launch.antennaAmslM
              return (
                <tr key={i}>
                  <th scope="row">
                    {to.waypoint === null
                      ? 'Launch'
                      : `${to.waypoint + 1} ${plan.route.waypoints[to.waypoint].name}`}
                  </th>
                  <td>
                    {formatHeight(to.amslM - to.groundM, units)} AGL
                    <br />
                    {formatHeight(to.amslM, units)} AMSL
                  </td>
                  <td>
                    {formatDistance(leg.distanceM, units)}
                    <br />
                    {degreesWords(leg.bearingDeg)}
                    {leg.shape === 'terrain' ? ', with terrain' : ', straight'}
                  </td>
                  {typeof flown === 'string' ? (
                    <td colSpan={5} class="alarm">
                      not flyable
                    </td>
                  ) : (
                    <>
                      <td>
                        {speed(flown.airspeedMs)} air
                        <br />
                        {speed(flown.triangle.groundSpeedMs)} ground
                      </td>
                      <td>{formatDuration(flown.timeS).replace(' min', '')}</td>
                      <td>{formatNumber(flown.mah, 0)}</td>
                      <td class={flown.leftShare < 0 ? 'alarm' : ''}>
                        {flown.leftShare < 0
                          ? 'empty'
                          : `${formatNumber(flown.leftShare * 100, 0)} %`}
                      </td>
                      <td>
                        {formatDuration(flight.timeS[to.sample])}, {formatNumber(flown.volts, 1)} V
                        <br />
                        {formatMah(flight.takenMah[to.sample])}
                      </td>
                    </>
                  )}
                  <td>
                    {away.distanceM < 1
                      ? 'overhead'
                      : `${degreesWords(away.bearingDeg)}, ${tiltWords((Math.atan2(rise, away.distanceM) * 180) / Math.PI)}`}
                    <br />
                    {formatDistance(away.distanceM, units)}
                  </td>
                  {accepted.length > 0 && (
                    <td class={divert ? '' : 'alarm'}>
                      {divert
                        ? `${areaLetter(divert.area)}, ${formatDistance(divert.distanceM, units)} at ${degreesWords(geodesic(to, accepted[divert.area].at).bearingDeg)}`
                        : 'none in reach'}
                    </td>
                  )}
                </tr>
              )
            })}
          </tbody>
        </table>
      </div>
      <p class="small">Bearings are true. Times and charge count from the motors' start.</p>
      <h3>Positions</h3>
      <ol class="positions">
        {plan.route.waypoints.map((waypoint, i) => (
          <li key={i}>
            {waypoint.name && `${waypoint.name}: `}
            <Spot at={waypoint} words={words} />
            {waypoint.loiterS > 0 && `, stay ${formatDuration(waypoint.loiterS)}`}
          </li>
        ))}
      </ol>
    </Section>
  )
}

/** The corridor, and what is wrong along it. */
function Corridor({ brief: { plan }, words, found }: PartProps & { found: Reckoning }) {
  const { units } = words
  const { line, conflicts } = found
  return (
    <Section title="Corridor">
      <CorridorDrawing plan={plan} found={found} words={words} />
      {conflicts.length === 0 ? (
        <p>Between floor and ceiling all the way.</p>
      ) : (
        <ul class="conflicts">
          {conflicts.map((conflict, i) => (
            <li key={i}>
              <b>{CONFLICT_NAMES[conflict.kind]}</b>{' '}
              {conflictWords(conflict, plan.limits.floorKind, units)}:{' '}
              {formatDistance(conflict.fromM, units)} to {formatDistance(conflict.toM, units)},{' '}
              {formatDistance(conflict.toM - conflict.fromM, units)} on the leg to{' '}
              {line.legs[conflict.leg].to.label}
            </li>
          ))}
        </ul>
      )}
    </Section>
  )
}

/** Where the ground antennas point, and what stands around them. */
function Radio({ brief, words }: PartProps) {
  const { plan, horizon, reckoning, launch } = brief
  const { units } = words
  const found = reckoning && typeof reckoning !== 'string' ? reckoning : null
  const stations = (found?.line.stations ?? []).filter(
    (station) => geodesic(launch, station).distanceM > 1,
  )
  const bearings = stations.map((station) => geodesic(launch, station).bearingDeg)
  const count = horizon.elevationDeg.length
  const rows = Array.from({ length: 12 }, (_, i) => (i * count) / 12)
  return (
    <Section title="Antennas and horizon">
      <table class="antennas">
        <thead>
          <tr>
            <th scope="col">Ground antenna</th>
            <th scope="col">Azimuth</th>
            <th scope="col">Tilt</th>
          </tr>
        </thead>
        <tbody>
          {[plan.video, plan.control].flatMap((link) =>
            link.branches.map(({ antenna, aim }, i) => (
              <tr key={`${link.direction} ${i}`}>
                <th scope="row">
                  {link.direction === 'down' ? 'Video' : 'Control'}
                  {link.branches.length > 1 && ` ${i + 1}`}, {ANTENNA_NAMES[antenna.kind]}
                </th>
                <td class="big">{degreesWords(aim.azimuthDeg)}</td>
                <td class="big">{tiltWords(aim.tiltDeg)}</td>
              </tr>
            )),
          )}
        </tbody>
      </table>
      <div class="beside">
        <HorizonDrawing horizon={horizon} bearingsDeg={bearings} />
        <table>
          <thead>
            <tr>
              <th scope="col">Toward</th>
              <th scope="col">Skyline</th>
              <th scope="col">Off</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((i) => (
              <tr key={i}>
                <th scope="row">{degreesWords((360 * i) / count)}</th>
                <td>
                  {Number.isNaN(horizon.distanceM[i])
                    ? 'not known'
                    : `${formatNumber(horizon.elevationDeg[i], 1)}°`}
                </td>
                <td>
                  {Number.isNaN(horizon.distanceM[i])
                    ? ''
                    : formatDistance(horizon.distanceM[i], units)}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p class="small">
        The rim is the level, steeper is farther in; thick lines lead to the waypoints. True north.
      </p>
    </Section>
  )
}

const signed = (db: number) => `${formatSigned(db)} dB`

/** The budget of both links, toward the target and where the route has least. */
function Budgets({ brief, words }: PartProps) {
  const { budgets, plan } = brief
  if (budgets.length === 0) return null
  return (
    <Section title="Link budgets">
      <p class="small">{[plan.video, plan.control].map((link) => linkWords(link)).join(' ')}</p>
      <div class="budgets">
        {budgets.map((place) => (
          <PlaceBudgetTable key={place.title} place={place} words={words} />
        ))}
      </div>
    </Section>
  )
}

function linkWords({ name, direction, frequencyMhz, powerDbm, spreadDb }: Link): string {
  const spread =
    spreadDb === null
      ? ''
      : ` Levels of a flight scattered by ± ${formatNumber(spreadDb, 1)} dB (one standard deviation).`
  return `${direction === 'down' ? 'Video' : 'Control'}: ${name}, ${formatNumber(frequencyMhz, 0)} MHz, ${formatNumber(mwFromDbm(powerDbm), 0)} mW.${spread}`
}

function PlaceBudgetTable({ place, words }: { place: PlaceBudget; words: BriefWords }) {
  const { units } = words
  const { geometry, links } = place
  const labels = links[0].budget.items.map(({ label }) => label)
  const of = (i: number, label: string) =>
    links[i].budget.items.find((item) => item.label === label)?.db ?? 0
  return (
    <table class="budget">
      <caption>
        <b>{place.title}</b>, <Spot at={place.at} words={words} />,{' '}
        {formatDistance(place.distanceM, units)} at {degreesWords(geometry.azimuthDeg)},{' '}
        {tiltWords(geometry.elevationDeg)}, {formatHeight(place.aglM, units)} AGL
      </caption>
      <thead>
        <tr>
          <td />
          {links.map(({ link }) => (
            <th scope="col" key={link.direction}>
              {link.direction === 'down' ? 'Video' : 'Control'}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        <tr>
          <th scope="row">Transmitter</th>
          {links.map(({ budget }, i) => (
            <td key={i}>{formatNumber(budget.powerDbm, 1)} dBm</td>
          ))}
        </tr>
        {labels
          .filter((label) => links.some((_, i) => Math.abs(of(i, label)) >= 0.05))
          .map((label) => (
            <tr key={label}>
              <th scope="row">{label}</th>
              {links.map((_, i) => (
                <td key={i}>{signed(of(i, label))}</td>
              ))}
            </tr>
          ))}
        <tr>
          <th scope="row">Received</th>
          {links.map(({ budget }, i) => (
            <td key={i}>{formatNumber(budget.receivedDbm, 1)} dBm</td>
          ))}
        </tr>
        <tr>
          <th scope="row">Sensitivity</th>
          {links.map(({ link }, i) => (
            <td key={i}>{formatNumber(link.sensitivityDbm, 1)} dBm</td>
          ))}
        </tr>
        <tr class="sum">
          <th scope="row">Margin</th>
          {links.map(({ link, budget }, i) => (
            <td key={i} class={budget.marginDb < link.fadeMarginDb ? 'alarm' : ''}>
              {signed(budget.marginDb)}
              {link.spreadDb !== null && ` ± ${formatNumber(link.spreadDb, 1)} dB`}
              <br />
              <span class="small">wanted {formatNumber(link.fadeMarginDb, 0)} dB</span>
            </td>
          ))}
        </tr>
      </tbody>
    </table>
  )
}

/** The landing areas of the plan, and how to get there on foot. */
function LandingAreas({ brief, words }: PartProps) {
  const { areas, walkProblem } = brief.landings
  const { roadHead, hasSnow } = brief.plan.landing
  if (areas.length === 0) {
    return (
      <Section title="Landing areas">
        <p class="alarm">The plan has none: choose some before you fly.</p>
      </Section>
    )
  }
  return (
    <Section title="Landing areas">
      <p>
        On foot from{' '}
        {roadHead ? (
          <>
            the road head, <Spot at={roadHead} words={words} />
          </>
        ) : (
          'the launch point'
        )}
        .
        {hasSnow
          ? ' Snow: avalanche ground is looked for; the bulletin decides.'
          : ' Without snow on the ground.'}
      </p>
      {walkProblem !== null && <p class="alarm">{walkProblem}</p>}
      <ul class="areas">
        {areas.map((planned, i) => (
          <li key={i}>
            <Area planned={planned} letter={areaLetter(i)} brief={brief} words={words} />
          </li>
        ))}
      </ul>
    </Section>
  )
}

function Area({
  planned: { area, groundM, picture, way },
  letter,
  brief: { launch, plan, landings },
  words,
}: PartProps & { planned: PlannedArea; letter: string }) {
  const { units } = words
  const away = geodesic(launch, area.at)
  const share = (value: number | null) =>
    value === null || Number.isNaN(value) ? 'not known' : formatShare(value)
  return (
    <>
      <h3>
        {letter}. {area.name}
        {area.isHome && ' (home)'}
      </h3>
      <p>
        <b>
          <Spot at={area.at} words={words} />
        </b>
        , ground {formatHeight(groundM, units)} AMSL, {formatDistance(away.distanceM, units)} at{' '}
        {degreesWords(away.bearingDeg)} from the launch point.
      </p>
      <p>
        {sizeWords(area.sizeM2)}, run {formatHeight(area.runM, units)} at{' '}
        {formatNumber(area.runDeg, 0)}°
        {plan.wind.speedMs > 0 &&
          `, approach ${formatNumber(approachDeg(area.runDeg, plan.wind.fromDeg), 0)}° into the wind`}
        . Picture down to {formatHeight(LANDED_HEIGHT_M, units)}: with the wanted margin{' '}
        {share(picture.margin)}, Fresnel-clear {share(picture.fresnel)}, in sight{' '}
        {share(picture.sight)} of it.
      </p>
      <p>
        {way
          ? `On foot ${formatWalk(way.timeS)}, ${formatDistance(way.lengthM, units)}, ${formatHeight(way.climbM, units)} up.`
          : landings.walkProblem === null
            ? 'Nobody gets there on foot.'
            : 'Way on foot not known.'}
        {way && way.avalanche.length > 0 && ' The way leads over possible avalanche ground.'}
        {way?.areaEndangered && ' The area itself may be reached by avalanches.'}
      </p>
      {area.note && <p>Note: {area.note}</p>}
    </>
  )
}

/** Cols and other places to stand that the plan keeps. */
function Places({ brief: { plan, launch }, words }: PartProps) {
  if (plan.places.length === 0) return null
  return (
    <Section title="Cols and other launch points">
      <ul class="conflicts">
        {plan.places.map((place, i) => {
          const { distanceM, bearingDeg } = geodesic(launch, place)
          return (
            <li key={i}>
              <b>{place.name}</b>
              {place.kind === 'col' ? ', col' : ', place to stand'}:{' '}
              <Spot at={place} words={words} />, {formatDistance(distanceM, words.units)} at{' '}
              {degreesWords(bearingDeg)} from the launch point
            </li>
          )
        })}
      </ul>
    </Section>
  )
}

/** What to tick off, the pilot's notes, and room for more. */
function Checks({ brief: { plan } }: { brief: FieldBrief }) {
  const { checklist, notes } = plan.brief
  return (
    <>
      {checklist.length > 0 && (
        <Section title="Before the flight" class="checks">
          <ul>
            {checklist.map((item, i) => (
              <li key={i}>
                <label>
                  <input type="checkbox" /> <span>{item}</span>
                </label>
              </li>
            ))}
          </ul>
        </Section>
      )}
      <Section title="Notes" class="notes">
        {notes.split('\n').map((line, i) => line.trim() && <p key={i}>{line}</p>)}
        <div class="blank">
          {Array.from({ length: 7 }, (_, i) => (
            <div key={i} />
          ))}
        </div>
      </Section>
    </>
  )
}
