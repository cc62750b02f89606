import { geodesic } from '../geodesy/geodesic'
import { LANDED_HEIGHT_M } from '../landing/landing'
import { approachDeg } from '../landing/landingArea'
import type { PlannedArea } from '../landing/plannedAreas'
import { formatWalk, sizeWords } from '../words/landingWords'
import { formatDistance, formatHeight, formatNumber, formatShare } from '../words/units'
import { Section, Spot, type PartProps } from './parts'
import { areaLetter, degreesWords } from './words'

/** The landing areas of the plan, and how to get there on foot. */
export function LandingAreas({ brief, words }: PartProps) {
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
export function Places({ brief: { plan, launch }, words }: PartProps) {
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
