import { geodesic } from '../geodesy/geodesic'
import { mwFromDbm, type Link } from '../radio/link'
import { ANTENNA_NAMES } from '../words/linkWords'
import { formatDistance, formatHeight, formatNumber, formatSigned } from '../words/units'
import { HorizonDrawing } from './HorizonDrawing'
import type { PlaceBudget } from './fieldBrief'
import { Section, Spot, type PartProps } from './parts'
import { say, type TextKey } from '../words/say'
import { spokenName } from '../words/typicalNames'
import { degreesWords, tiltWords, type BriefWords } from './words'

/** Where the ground antennas point, and what stands around them. */
export function Radio({ brief, words }: PartProps) {
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
    <Section title={say('radioSections.antennasHorizon')}>
      <table class="antennas">
        <thead>
          <tr>
            <th scope="col">{say('common.groundAntenna')}</th>
            <th scope="col">{say('common.azimuth')}</th>
            <th scope="col">{say('common.tilt')}</th>
          </tr>
        </thead>
        <tbody>
          {[plan.video, plan.control].flatMap((link) =>
            link.branches.map(({ antenna, aim }, i) => (
              <tr key={`${link.direction} ${i}`}>
                <th scope="row">
                  {link.direction === 'down' ? say('common.video') : say('common.control')}
                  {link.branches.length > 1 && ` ${i + 1}`}, {say(ANTENNA_NAMES[antenna.kind])}
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
              <th scope="col">{say('radioSections.toward')}</th>
              <th scope="col">{say('radioSections.skyline')}</th>
              <th scope="col">{say('radioSections.off')}</th>
            </tr>
          </thead>
          <tbody>
            {rows.map((i) => (
              <tr key={i}>
                <th scope="row">{degreesWords((360 * i) / count)}</th>
                <td>
                  {Number.isNaN(horizon.distanceM[i])
                    ? say('common.notKnown')
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
      <p class="small">{say('radioSections.rimLevelSteeperFarther')}</p>
    </Section>
  )
}

const signed = (db: number) => `${formatSigned(db)} dB`

/** The budget of both links, toward the target and where the route has least. */
export function Budgets({ brief, words }: PartProps) {
  const { budgets, plan } = brief
  if (budgets.length === 0) return null
  return (
    <Section title={say('radioSections.linkBudgets')}>
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
      : say('radioSections.levelsFlightScatteredDb', { spreadDb: formatNumber(spreadDb, 1) })
  return `${direction === 'down' ? say('common.video') : say('common.control')}: ${spokenName(name)}, ${formatNumber(frequencyMhz, 0)} MHz, ${formatNumber(mwFromDbm(powerDbm), 0)} mW.${spread}`
}

function PlaceBudgetTable({ place, words }: { place: PlaceBudget; words: BriefWords }) {
  const { units } = words
  const { geometry, links } = place
  const labels = links[0].budget.items.map(({ label }) => label)
  const of = (i: number, label: TextKey) =>
    links[i].budget.items.find((item) => item.label === label)?.db ?? 0
  return (
    <table class="budget">
      <caption>
        <b>{place.title}</b>, <Spot at={place.at} words={words} />
        {say('radioSections.agl', {
          distanceM: formatDistance(place.distanceM, units),
          azimuthDeg: degreesWords(geometry.azimuthDeg),
          elevationDeg: tiltWords(geometry.elevationDeg),
          aglM: formatHeight(place.aglM, units),
        })}
      </caption>
      <thead>
        <tr>
          <td />
          {links.map(({ link }) => (
            <th scope="col" key={link.direction}>
              {link.direction === 'down' ? say('common.video') : say('common.control')}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        <tr>
          <th scope="row">{say('common.transmitter')}</th>
          {links.map(({ budget }, i) => (
            <td key={i}>{formatNumber(budget.powerDbm, 1)} dBm</td>
          ))}
        </tr>
        {labels
          .filter((label) => links.some((_, i) => Math.abs(of(i, label)) >= 0.05))
          .map((label) => (
            <tr key={label}>
              <th scope="row">{say(label)}</th>
              {links.map((_, i) => (
                <td key={i}>{signed(of(i, label))}</td>
              ))}
            </tr>
          ))}
        <tr>
          <th scope="row">{say('common.received')}</th>
          {links.map(({ budget }, i) => (
            <td key={i}>{formatNumber(budget.receivedDbm, 1)} dBm</td>
          ))}
        </tr>
        <tr>
          <th scope="row">{say('common.sensitivity')}</th>
          {links.map(({ link }, i) => (
            <td key={i}>{formatNumber(link.sensitivityDbm, 1)} dBm</td>
          ))}
        </tr>
        <tr class="sum">
          <th scope="row">{say('common.margin')}</th>
          {links.map(({ link, budget }, i) => (
            <td key={i} class={budget.marginDb < link.fadeMarginDb ? 'alarm' : ''}>
              {signed(budget.marginDb)}
              {link.spreadDb !== null && ` ± ${formatNumber(link.spreadDb, 1)} dB`}
              <br />
              <span class="small">
                {say('radioSections.wantedDb', {
                  fadeMarginDb: formatNumber(link.fadeMarginDb, 0),
                })}
              </span>
            </td>
          ))}
        </tr>
      </tbody>
    </table>
  )
}
