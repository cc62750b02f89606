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
      <h3>What counts as a landing area</h3>
      <div class="fields">
        <NumberField
          label="Steepest slope"
          unit="°"
          value={limits.steepestDeg}
          digits={1}
          min={LANDING_RANGES.steepestDeg[0]}
          max={LANDING_RANGES.steepestDeg[1]}
          step={1}
          onChange={(steepestDeg) => change({ steepestDeg })}
        />
        <NumberField
          label="Roughness"
          unit={symbol}
          value={limits.roughestM / metres}
          digits={2}
          min={Math.ceil((100 * LANDING_RANGES.roughestM[0]) / metres) / 100}
          max={Math.floor((100 * LANDING_RANGES.roughestM[1]) / metres) / 100}
          step={0.1}
          help="How far a cell and its neighbours may lie off the plane that fits them, root of the mean square."
          onChange={(height) => change({ roughestM: height * metres })}
        />
        <NumberField
          label="Smallest size"
          unit="m²"
          value={limits.smallestM2}
          digits={0}
          min={LANDING_RANGES.smallestM2[0]}
          max={LANDING_RANGES.smallestM2[1]}
          step={500}
          onChange={(smallestM2) => change({ smallestM2 })}
        />
        <NumberField
          label="From obstacles"
          unit={symbol}
          value={limits.fromObstaclesM / metres}
          digits={0}
          min={LANDING_RANGES.fromObstaclesM[0]}
          max={Math.floor(LANDING_RANGES.fromObstaclesM[1] / metres)}
          step={10}
          help="Kept from obstacles, wires and woods that you put in."
          onChange={(height) => change({ fromObstaclesM: height * metres })}
        />
        <NumberField
          label="From edges"
          unit={symbol}
          value={limits.fromEdgesM / metres}
          digits={0}
          min={LANDING_RANGES.fromEdgesM[0]}
          max={Math.floor(LANDING_RANGES.fromEdgesM[1] / metres)}
          step={10}
          help="Kept from where ground steeper than 30° falls away below."
          onChange={(height) => change({ fromEdgesM: height * metres })}
        />
      </div>
      <div class="row">
        <button
          type="button"
          onClick={() =>
            startDrawing('Ground to keep out', 'area', (geometry) => {
              if (geometry.type === 'Polygon') changeLanding({ excluded: [...excluded, geometry] })
            })
          }
        >
          Keep out of…
        </button>
        <button type="button" title="Polygons from GeoJSON" onClick={() => void importKeepOut()}>
          Import…
        </button>
        {excluded.length > 0 && (
          <button type="button" onClick={() => changeLanding({ excluded: [] })}>
            Forget {excluded.length} kept out
          </button>
        )}
      </div>
      <p class="section-note small">Perfectly level ground is left out: it may be water or ice.</p>
    </>
  )
}

async function importKeepOut(): Promise<void> {
  const file = await host.openText('GeoJSON', ['geojson', 'json'])
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
      <h3>On foot</h3>
      <div class="row">
        <span>{roadHead ? 'From the road head on the map' : 'From the launch point'}</span>
        <button
          type="button"
          onClick={() =>
            startDrawing('Road head', 'point', (geometry) => {
              if (geometry.type !== 'Point') return
              const [lonDeg, latDeg] = geometry.coordinates
              changeLanding({ roadHead: { latDeg, lonDeg } })
            })
          }
        >
          Road head…
        </button>
        {roadHead && (
          <button type="button" onClick={() => changeLanding({ roadHead: null })}>
            Launch point
          </button>
        )}
      </div>
      <div class="fields spaced">
        <NumberField
          label="Steepest ground walked"
          unit="°"
          value={walk.steepestDeg}
          digits={0}
          min={WALK_RANGES.steepestDeg[0]}
          max={WALK_RANGES.steepestDeg[1]}
          step={5}
          onChange={(steepestDeg) => change({ steepestDeg })}
        />
        <NumberField
          label="Speed off paths"
          unit="%"
          value={walk.offPathFactor * 100}
          digits={0}
          min={WALK_RANGES.offPathFactor[0] * 100}
          max={WALK_RANGES.offPathFactor[1] * 100}
          step={5}
          help="Of Tobler's walking speed on a path: 60 % is usual, less in snow or scrub."
          onChange={(percent) => change({ offPathFactor: percent / 100 })}
        />
      </div>
      <label class="check spaced">
        <input
          type="checkbox"
          checked={hasSnow}
          onChange={(event) => changeLanding({ hasSnow: event.currentTarget.checked })}
        />
        There is snow: mark possible avalanche terrain
      </label>
    </>
  )
}
