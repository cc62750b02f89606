import { divertAt } from '../energy/divert'
import { geodesic } from '../geodesy/geodesic'
import type { Reckoning } from '../plan/reckoning'
import {
  CONFLICT_NAMES,
  conflictPlaceWords,
  conflictWords,
  formatDuration,
  formatMah,
} from '../words/routeWords'
import { formatDistance, formatHeight, formatNumber, SPEED_UNIT } from '../words/units'
import { CorridorDrawing } from './CorridorDrawing'
import { Section, Spot, type PartProps } from './parts'
import { say } from '../words/say'
import { areaLetter, degreesWords, tiltWords } from './words'

/** Every leg with its height, way, time and charge, and what is in reach from its end. */
export function Legs({ brief, words, found }: PartProps & { found: Reckoning }) {
  const { units } = words
  const { line, flight, turns } = found
  const { launch, plan } = brief
  const { accepted } = plan.landing
  const speed = (ms: number) => formatNumber(ms / SPEED_UNIT[units].metresPerSecond, 0)
  return (
    <Section title={say('routeSections.legs')}>
      <div class="wide" tabIndex={0} role="region" aria-label={say('routeSections.legsWideTable')}>
        <table>
          <thead>
            <tr>
              <th scope="col">{say('common.leg')}</th>
              <th scope="col">{say('common.height')}</th>
              <th scope="col">{say('common.way')}</th>
              <th scope="col">
                {say('routeSections.speed', { symbol: SPEED_UNIT[units].symbol })}
              </th>
              <th scope="col">{say('routeSections.min')}</th>
              <th scope="col">mAh</th>
              <th scope="col">{say('common.left')}</th>
              <th scope="col">{say('routeSections.end')}</th>
              <th scope="col">{say('routeSections.seenLaunch')}</th>
              {accepted.length > 0 && <th scope="col">{say('routeSections.land')}</th>}
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
                      ? say('common.launch')
                      : `${to.waypoint + 1} ${plan.route.waypoints[to.waypoint].name}`}
                  </th>
                  <td>
                    {say('routeSections.agl', {
                      amslM: formatHeight(to.amslM - to.groundM, units),
                    })}
                    <br />
                    {say('routeSections.amsl', { amslM: formatHeight(to.amslM, units) })}
                  </td>
                  <td>
                    {formatDistance(leg.distanceM, units)}
                    <br />
                    {degreesWords(leg.bearingDeg)}
                    {leg.shape === 'terrain'
                      ? say('routeSections.terrain')
                      : say('routeSections.straight')}
                  </td>
                  {typeof flown === 'string' ? (
                    <td colSpan={5} class="alarm">
                      {say('common.notFlyable')}
                    </td>
                  ) : (
                    <>
                      <td>
                        {say('routeSections.air', { airspeedMs: speed(flown.airspeedMs) })}
                        <br />
                        {say('routeSections.ground', {
                          groundSpeedMs: speed(flown.triangle.groundSpeedMs),
                        })}
                      </td>
                      <td>{formatDuration(flown.timeS).replace(' min', '')}</td>
                      <td>{formatNumber(flown.mah, 0)}</td>
                      <td class={flown.leftShare < 0 ? 'alarm' : ''}>
                        {flown.leftShare < 0
                          ? say('common.empty')
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
                      ? say('routeSections.overhead')
                      : `${degreesWords(away.bearingDeg)}, ${tiltWords((Math.atan2(rise, away.distanceM) * 180) / Math.PI)}`}
                    <br />
                    {formatDistance(away.distanceM, units)}
                  </td>
                  {accepted.length > 0 && (
                    <td class={divert ? '' : 'alarm'}>
                      {divert
                        ? say('routeSections.at', {
                            area: areaLetter(divert.area),
                            distanceM: formatDistance(divert.distanceM, units),
                            bearingDeg: degreesWords(
                              geodesic(to, accepted[divert.area].at).bearingDeg,
                            ),
                          })
                        : say('common.noneReach')}
                    </td>
                  )}
                </tr>
              )
            })}
          </tbody>
        </table>
      </div>
      <p class="small">{say('routeSections.bearingsTrueTimesCharge')}</p>
      <h3>{say('routeSections.positions')}</h3>
      <ol class="positions">
        {plan.route.waypoints.map((waypoint, i) => (
          <li key={i}>
            {waypoint.name && `${waypoint.name}: `}
            <Spot at={waypoint} words={words} />
            {waypoint.loiterS > 0 &&
              say('routeSections.stay', { loiterS: formatDuration(waypoint.loiterS) })}
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
    <Section title={say('common.corridor')}>
      <CorridorDrawing plan={plan} found={found} words={words} />
      {conflicts.length === 0 ? (
        <p>{say('routeSections.betweenFloorCeilingAll')}</p>
      ) : (
        <ul class="conflicts">
          {conflicts.map((conflict, i) => (
            <li key={i}>
              <b>{say(CONFLICT_NAMES[conflict.kind])}</b>{' '}
              {say('routeSections.conflict', {
                conflict: conflictWords(conflict, plan.limits.floorKind, units),
                place: conflictPlaceWords(conflict, line.legs[conflict.leg].to.label, units),
              })}
            </li>
          ))}
        </ul>
      )}
    </Section>
  )
}
