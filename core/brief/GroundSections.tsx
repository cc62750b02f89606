import { geodesic } from '../geodesy/geodesic'
import { LANDED_HEIGHT_M } from '../landing/landing'
import { approachDeg } from '../landing/landingArea'
import type { PlannedArea } from '../landing/plannedAreas'
import { formatWalk, sizeWords } from '../words/landingWords'
import { formatDistance, formatHeight, formatNumber, formatShare } from '../words/units'
import { Section, Spot, type PartProps } from './parts'
import { say } from '../words/say'
import { areaLetter, degreesWords } from './words'

/** The landing areas of the plan, and how to get there on foot. */
export function LandingAreas({ brief, words }: PartProps) {
  const { areas, walkProblem } = brief.landings
  const { roadHead, hasSnow } = brief.plan.landing
  if (areas.length === 0) {
    return (
      <Section title={say('common.landingAreas')}>
        <p class="alarm">{say('groundSections.planHasNoneChoose')}</p>
      </Section>
    )
  }
  return (
    <Section title={say('common.landingAreas')}>
      <p>
        {say('groundSections.foot')}{' '}
        {roadHead ? (
          <>
            {say('groundSections.roadHead')} <Spot at={roadHead} words={words} />
          </>
        ) : (
          say('groundSections.launchPoint')
        )}
        .
        {hasSnow
          ? say('groundSections.snowAvalancheGroundLooked')
          : say('groundSections.withoutSnowGround')}
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
    value === null || Number.isNaN(value) ? say('common.notKnown') : formatShare(value)
  return (
    <>
      <h3>
        {letter}. {area.name}
        {area.isHome && say('groundSections.home')}
      </h3>
      <p>
        <b>
          <Spot at={area.at} words={words} />
        </b>
        {say('groundSections.groundAmslLaunchPoint', {
          groundM: formatHeight(groundM, units),
          distanceM: formatDistance(away.distanceM, units),
          bearingDeg: degreesWords(away.bearingDeg),
        })}
      </p>
      <p>
        {say('common.run', {
          sizeM2: sizeWords(area.sizeM2),
          runM: formatHeight(area.runM, units),
          runDeg: formatNumber(area.runDeg, 0),
        })}
        {plan.wind.speedMs > 0 &&
          say('common.approachIntoWind', {
            runDeg: formatNumber(approachDeg(area.runDeg, plan.wind.fromDeg), 0),
          })}
        {say('groundSections.pictureDownWantedMargin', {
          landedHeightM: formatHeight(LANDED_HEIGHT_M, units),
          margin: share(picture.margin),
          fresnel: share(picture.fresnel),
          sight: share(picture.sight),
        })}
      </p>
      <p>
        {way
          ? say('groundSections.footUp', {
              timeS: formatWalk(way.timeS),
              lengthM: formatDistance(way.lengthM, units),
              climbM: formatHeight(way.climbM, units),
            })
          : landings.walkProblem === null
            ? say('groundSections.nobodyGetsThereFoot')
            : say('groundSections.wayFootNotKnown')}
        {way && way.avalanche.length > 0 && say('groundSections.wayLeadsOverPossible')}
        {way?.areaEndangered && say('groundSections.areaItselfMayReached')}
      </p>
      {area.note && <p>{say('groundSections.note', { note: area.note })}</p>}
    </>
  )
}

/** Cols and other places to stand that the plan keeps. */
export function Places({ brief: { plan, launch }, words }: PartProps) {
  if (plan.places.length === 0) return null
  return (
    <Section title={say('groundSections.colsOtherLaunchPoints')}>
      <ul class="conflicts">
        {plan.places.map((place, i) => {
          const { distanceM, bearingDeg } = geodesic(launch, place)
          return (
            <li key={i}>
              <b>{place.name}</b>
              {place.kind === 'col'
                ? say('groundSections.col')
                : say('groundSections.placeStand')}: <Spot at={place} words={words} />
              {say('groundSections.fromLaunchPoint', {
                distanceM: formatDistance(distanceM, words.units),
                bearingDeg: degreesWords(bearingDeg),
              })}
            </li>
          )
        })}
      </ul>
    </Section>
  )
}
