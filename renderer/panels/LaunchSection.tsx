import { groundAt } from '../../core/terrain/grid'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { moveLaunch } from '../state/site'
import { locator, terrain } from '../state/terrain'
import { formatHeight, HEIGHT_UNIT } from '../../core/words/units'
import { keepPlace } from '../state/keptPlaces'
import { KeptPlaces } from './KeptPlaces'
import { NumberField } from './NumberField'
import { PositionFields } from './PositionFields'
import { PositionText } from './PositionText'
import { say } from '../../core/words/say'
import { Section } from './Section'

const MAX_ANTENNA_M = 100

/** Where the pilot stands. */
export function LaunchSection() {
  const { launch, antennaHeightM } = setup.value
  const { units } = preferences.value
  const { symbol, metres } = HEIGHT_UNIT[units]
  const [grid, place] = [terrain.value, locator.value]
  const ground = grid && place ? groundAt(grid, place.toGrid(launch)) : NaN
  return (
    <Section title={say('common.launchPoint')} open>
      <div class="fields">
        <PositionFields at={launch} onChange={moveLaunch} />
        <PositionText of={say('common.launchPoint')} at={launch} onChange={moveLaunch} />
        <NumberField
          label={say('common.antennaAboveGround')}
          unit={symbol}
          value={antennaHeightM / metres}
          digits={1}
          min={0}
          max={Math.floor(MAX_ANTENNA_M / metres)}
          step={0.5}
          help={say('launch.heightGroundAntennaOver')}
          onChange={(height) => changeSetup({ antennaHeightM: height * metres })}
        />
        <div class="field">
          <span class="field-label">{say('launch.groundThere')}</span>
          <span class="field-value">{formatHeight(ground, units)}</span>
        </div>
      </div>
      <div class="row">
        <button
          type="button"
          title={say('launch.findAgainWhenLaunch')}
          onClick={() => keepPlace('other launch point', launch)}
        >
          {say('launch.keepPlacePlan')}
        </button>
      </div>
      <KeptPlaces
        kind="other launch point"
        label={say('launch.placesStand')}
        act={moveLaunch}
        actName={say('common.standHere')}
      />
    </Section>
  )
}
