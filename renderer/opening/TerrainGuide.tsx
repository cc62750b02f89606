import { signal } from '@preact/signals'
import { say, type TextKey } from '../../core/words/say'
import { ModalSheet } from './ModalSheet'

export const guideIsOpen = signal(false)

interface Kind {
  readonly name: TextKey
  readonly cells: TextKey
  readonly shows: TextKey
  readonly states: TextKey
  readonly take: TextKey
}

/** Stated accuracies are from memory unless said otherwise; see the note under the table. */
const KINDS: readonly Kind[] = [
  {
    name: 'terrainGuide.laserSurveyCountryRegion',
    cells: 'terrainGuide.laserCells',
    shows: 'terrainGuide.bothGroundModelWithout',
    states: 'terrainGuide.laserErrors',
    take: 'terrainGuide.firstChoiceGroundModel',
  },
  {
    name: 'terrainGuide.nationalModelAirPhotographs',
    cells: 'terrainGuide.nationalCells',
    shows: 'terrainGuide.mostlyGroundTreesLeft',
    states: 'terrainGuide.nationalErrors',
    take: 'terrainGuide.goodRidgesValleysAdd',
  },
  {
    name: 'terrainGuide.radar2011',
    cells: 'terrainGuide.radar2011Cells',
    shows: 'terrainGuide.surfaceRadarSeesPart',
    states: 'terrainGuide.radar2011Errors',
    take: 'terrainGuide.globalModelBeginSharp',
  },
  {
    name: 'terrainGuide.radar2000',
    cells: 'terrainGuide.radar2000Cells',
    shows: 'terrainGuide.surfaceAboveVoidsFilled',
    states: 'terrainGuide.radar2000Errors',
    take: 'terrainGuide.whereNewerOneMissing',
  },
  {
    name: 'terrainGuide.globalModelSatellitePhotographs',
    cells: 'terrainGuide.photoCells',
    shows: 'terrainGuide.surfaceBumpsPitsWhere',
    states: 'terrainGuide.photoErrors',
    take: 'terrainGuide.lastResortPlanningFlights',
  },
]

/** Help on where open elevation comes from and which to take. */
export function TerrainGuide() {
  return guideIsOpen.value && <Guide />
}

function Guide() {
  const close = () => (guideIsOpen.value = false)
  return (
    <ModalSheet
      class="guide"
      title={say('common.whereGetTerrain')}
      onClose={close}
      foot={
        <>
          <button type="button" class="primary" onClick={close}>
            {say('common.close')}
          </button>
        </>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label={say('terrainGuide.guide')}>
        <p>{say('terrainGuide.colsightReadsGeotiffFiles')}</p>
        <table>
          <thead>
            <tr>
              <th scope="col">{say('common.kind')}</th>
              <th scope="col">{say('common.cells')}</th>
              <th scope="col">{say('terrainGuide.whatShows')}</th>
              <th scope="col">{say('terrainGuide.accuracyStated')}</th>
              <th scope="col">{say('terrainGuide.take')}</th>
            </tr>
          </thead>
          <tbody>
            {KINDS.map(({ name, cells, shows, states, take }) => (
              <tr key={name}>
                <th scope="row">{say(name)}</th>
                <td>{say(cells)}</td>
                <td>{say(shows)}</td>
                <td>{say(states)}</td>
                <td>{say(take)}</td>
              </tr>
            ))}
          </tbody>
        </table>
        <p class="small">{say('terrainGuide.accuraciesThoseTheirMakers')}</p>
        <h3>{say('terrainGuide.groundSurface')}</h3>
        <p>
          A <strong>{say('terrainGuide.groundModel')}</strong>{' '}
          {say('terrainGuide.terrainModelBareEarth')}
        </p>
        <p>
          A <strong>{say('common.surfaceModel')}</strong> {say('terrainGuide.showsTopWhatStood')}
        </p>
        <h3>{say('terrainGuide.beforeYouUseOne')}</h3>
        <ul>
          <li>{say('terrainGuide.heightsShouldAboveSea')}</li>
          <li>{say('terrainGuide.fileDoesNotName')}</li>
          <li>{say('terrainGuide.compareSummitLakeMap')}</li>
        </ul>
      </div>
    </ModalSheet>
  )
}
