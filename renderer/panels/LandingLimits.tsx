import { LANDING_RANGES, type LandingLimits as Limits } from '../../core/landing/areas'
import { readKeepOut } from '../../core/landing/keepOut'
import { WALK_RANGES, type WalkSettings } from '../../core/landing/walk'
import { host } from '../host/host'
import { startDrawing } from '../state/drawing'
import { changeLanding } from '../state/landing'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { HEIGHT_UNIT } from '../../core/words/units'
import { notice, orSentence } from '../state/work'
import { say } from '../../core/words/say'
import { NumberField } from './NumberField'

/** What counts as a landing area, and how people walk there. */
export function LandingLimits() {
  return (
    <>
      <Ground />
      <Walking />
    </>
  )
}

function Ground() {
  const { limits, excluded } = setup.value.landing
  const { units } = preferences.value
  const { symbol, metres } = HEIGHT_UNIT[units]
  const change = (part: Partial<Limits>) => changeLanding({ limits: { ...limits, ...part } })
  return (
    <>
      <h3>{say('landingLimits.whatCountsLandingArea')}</h3>
      <div class="fields">
        <NumberField
          label={say('landingLimits.steepestSlope')}
          help={say('landingLimits.steepestSlopeHelp')}
          unit="°"
          value={limits.steepestDeg}
          digits={1}
          min={LANDING_RANGES.steepestDeg[0]}
          max={LANDING_RANGES.steepestDeg[1]}
          step={1}
          onChange={(steepestDeg) => change({ steepestDeg })}
        />
        <NumberField
          label={say('landingLimits.roughness')}
          unit={symbol}
          value={limits.roughestM / metres}
          digits={2}
          min={Math.ceil((100 * LANDING_RANGES.roughestM[0]) / metres) / 100}
          max={Math.floor((100 * LANDING_RANGES.roughestM[1]) / metres) / 100}
          step={0.1}
          help={say('landingLimits.howFarCellNeighbours')}
          onChange={(height) => change({ roughestM: height * metres })}
        />
        <NumberField
          label={say('landingLimits.smallestSize')}
          help={say('landingLimits.smallestSizeHelp')}
          unit="m²"
          value={limits.smallestM2}
          digits={0}
          min={LANDING_RANGES.smallestM2[0]}
          max={LANDING_RANGES.smallestM2[1]}
          step={500}
          onChange={(smallestM2) => change({ smallestM2 })}
        />
        <NumberField
          label={say('landingLimits.obstacles')}
          unit={symbol}
          value={limits.fromObstaclesM / metres}
          digits={0}
          min={LANDING_RANGES.fromObstaclesM[0]}
          max={Math.floor(LANDING_RANGES.fromObstaclesM[1] / metres)}
          step={10}
          help={say('landingLimits.keptObstaclesWiresWoods')}
          onChange={(height) => change({ fromObstaclesM: height * metres })}
        />
        <NumberField
          label={say('landingLimits.edges')}
          unit={symbol}
          value={limits.fromEdgesM / metres}
          digits={0}
          min={LANDING_RANGES.fromEdgesM[0]}
          max={Math.floor(LANDING_RANGES.fromEdgesM[1] / metres)}
          step={10}
          help={say('landingLimits.keptWhereGroundSteeper')}
          onChange={(height) => change({ fromEdgesM: height * metres })}
        />
      </div>
      <div class="row">
        <button
          type="button"
          onClick={() =>
            startDrawing(say('landingLimits.groundKeepOut'), 'area', (geometry) => {
              if (geometry.type === 'Polygon') changeLanding({ excluded: [...excluded, geometry] })
            })
          }
        >
          {say('landingLimits.keepOut')}
        </button>
        <button
          type="button"
          title={say('landingLimits.polygonsGeojson')}
          onClick={() => void importKeepOut()}
        >
          {say('common.import')}
        </button>
        {excluded.length > 0 && (
          <button type="button" onClick={() => changeLanding({ excluded: [] })}>
            {say('landingLimits.forgetKeptOut', { excluded: excluded.length })}
          </button>
        )}
      </div>
      <p class="section-note small">{say('landingLimits.perfectlyLevelGroundLeft')}</p>
    </>
  )
}

async function importKeepOut(): Promise<void> {
  const file = await host.openText(say('common.geojson'), ['geojson', 'json'])
  if (!file) return
  const areas = orSentence(() => readKeepOut(file.text, file.name))
  notice.value = typeof areas === 'string' ? areas : null
  if (typeof areas === 'string') return
  changeLanding({ excluded: [...setup.value.landing.excluded, ...areas] })
}

function Walking() {
  const { walk, roadHead, hasSnow } = setup.value.landing
  const change = (part: Partial<WalkSettings>) => changeLanding({ walk: { ...walk, ...part } })
  return (
    <>
      <h3>{say('common.foot')}</h3>
      <div class="row">
        <span>
          {roadHead ? say('landingLimits.roadHeadMap') : say('landingLimits.launchPoint')}
        </span>
        <button
          type="button"
          onClick={() =>
            startDrawing(say('common.roadHead'), 'point', (geometry) => {
              if (geometry.type !== 'Point') return
              const [lonDeg, latDeg] = geometry.coordinates
              changeLanding({ roadHead: { latDeg, lonDeg } })
            })
          }
        >
          {say('landingLimits.roadHead')}
        </button>
        {roadHead && (
          <button type="button" onClick={() => changeLanding({ roadHead: null })}>
            {say('common.launchPoint')}
          </button>
        )}
      </div>
      <div class="fields spaced">
        <NumberField
          label={say('landingLimits.steepestGroundWalked')}
          help={say('landingLimits.steepestGroundWalkedHelp')}
          unit="°"
          value={walk.steepestDeg}
          digits={0}
          min={WALK_RANGES.steepestDeg[0]}
          max={WALK_RANGES.steepestDeg[1]}
          step={5}
          onChange={(steepestDeg) => change({ steepestDeg })}
        />
        <NumberField
          label={say('landingLimits.speedOffPaths')}
          unit="%"
          value={walk.offPathFactor * 100}
          digits={0}
          min={WALK_RANGES.offPathFactor[0] * 100}
          max={WALK_RANGES.offPathFactor[1] * 100}
          step={5}
          help={say('landingLimits.toblersWalkingSpeedPath')}
          onChange={(percent) => change({ offPathFactor: percent / 100 })}
        />
      </div>
      <label class="check spaced">
        <input
          type="checkbox"
          checked={hasSnow}
          onChange={(event) => changeLanding({ hasSnow: event.currentTarget.checked })}
        />
        {say('landingLimits.thereSnowMarkPossible')}
      </label>
    </>
  )
}
