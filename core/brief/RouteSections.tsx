import { divertAt } from '../energy/divert'
import { geodesic } from '../geodesy/geodesic'
import type { Reckoning } from '../plan/reckoning'
import { CONFLICT_NAMES, conflictWords, formatDuration, formatMah } from '../words/routeWords'
import { formatDistance, formatHeight, formatNumber, SPEED_UNIT } from '../words/units'
import { CorridorDrawing } from './CorridorDrawing'
import { Section, Spot, type PartProps } from './parts'
import { areaLetter, degreesWords, tiltWords } from './words'

/** Every leg with its height, way, time and charge, and what is in reach from its end. */
export function Legs({ brief, words, found }: PartProps & { found: Reckoning }) {
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
export function Corridor({ brief: { plan }, words, found }: PartProps & { found: Reckoning }) {
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
