import type { Obstacle, ObstacleKind } from '../../core/surface/obstacle'
import { MAX_OBSTACLE_M, OBSTACLE_KINDS, readObstacles } from '../../core/surface/obstacle'
import { host } from '../host/host'
import { startDrawing, type Shape } from '../state/drawing'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { openSurfaceModel, removeSurfaceModel, surfaceModel } from '../state/surface'
import { formatShare, HEIGHT_UNIT } from '../../core/words/units'
import { notice, orSentence } from '../state/work'
import { NumberField } from './NumberField'
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

/** How a kind is drawn, and the height it begins with, metres. */
const NEW: Readonly<Record<ObstacleKind, { shape: Shape; heightM: number }>> = {
  mast: { shape: 'point', heightM: 30 },
  wire: { shape: 'line', heightM: 25 },
  wood: { shape: 'area', heightM: 20 },
  building: { shape: 'area', heightM: 8 },
}
const KIND_NAMES: Readonly<Record<ObstacleKind, TextKey>> = {
  mast: 'surface.mast',
  wire: 'surface.wire',
  wood: 'surface.wood',
  building: 'surface.building',
}

/** What stands on the ground, in the way of the radio path. */
export function SurfaceSection() {
  const { vegetation, clearingM, obstacles } = setup.value
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const model = surfaceModel.value
  const parts = [
    vegetation.heightM > 0 && say('stepNames.vegetation'),
    model && say('common.surfaceModel'),
    obstacles.length > 0 &&
      say('surface.obstacle', {
        obstacles: obstacles.length,
      }),
  ].filter(Boolean)
  return (
    <Section
      title={say('surface.whatStandsGround')}
      summary={parts.join(', ') || say('surface.nothingYet')}
    >
      <div class="fields">
        <NumberField
          label={say('surface.vegetationHeight')}
          unit={symbol}
          value={vegetation.heightM / metres}
          digits={1}
          min={0}
          max={Math.floor(100 / metres)}
          step={1}
          help={say('surface.treesHeightAllGround')}
          onChange={(height) =>
            changeSetup({ vegetation: { ...vegetation, heightM: height * metres } })
          }
        />
        <NumberField
          label={say('surface.clearingAroundLaunch')}
          unit={symbol}
          value={clearingM / metres}
          digits={0}
          min={0}
          max={Math.floor(5000 / metres)}
          step={10}
          help={say('surface.withinDistanceLaunchPoint')}
          onChange={(clearing) => changeSetup({ clearingM: clearing * metres })}
        />
      </div>
      <label class="check">
        <input
          type="checkbox"
          checked={setup.value.foliage === 'lossy'}
          onChange={(event) =>
            changeSetup({ foliage: event.currentTarget.checked ? 'lossy' : 'solid' })
          }
        />
        {say('surface.budgetsRadioPassesTrees')}
      </label>
      <label class="check">
        <input
          type="checkbox"
          checked={vegetation.treeLineM !== null}
          onChange={(event) =>
            changeSetup({
              vegetation: { ...vegetation, treeLineM: event.currentTarget.checked ? 1800 : null },
            })
          }
        />
        {say('surface.noTreesAboveTree')}
      </label>
      {vegetation.treeLineM !== null && (
        <div class="fields fields-indented">
          <NumberField
            label={say('surface.treeLineAmsl')}
            unit={symbol}
            value={vegetation.treeLineM / metres}
            digits={0}
            min={0}
            max={Math.floor(6000 / metres)}
            step={50}
            help={say('surface.groundAboveHeightAbove')}
            onChange={(line) =>
              changeSetup({ vegetation: { ...vegetation, treeLineM: line * metres } })
            }
          />
        </div>
      )}
      <div class="row">
        <span>
          {model
            ? say('surface.surfaceModelTerrain', {
                name: model.name,
                share: formatShare(model.share),
              })
            : say('surface.noSurfaceModel')}
        </span>
        {model && (
          <button type="button" onClick={removeSurfaceModel}>
            {say('common.remove')}
          </button>
        )}
        <button
          type="button"
          title={say('surface.secondElevationModelShows')}
          onClick={() => void chooseModel()}
        >
          {say('common.open')}
        </button>
      </div>
      <h3>{say('surface.obstacles')}</h3>
      <div class="row">
        {OBSTACLE_KINDS.map((kind) => (
          <button type="button" key={kind} onClick={() => draw(kind)}>
            {say(KIND_NAMES[kind])}
          </button>
        ))}
        <button
          type="button"
          title={say('surface.geojsonPropertyHeightM')}
          onClick={() => void importObstacles()}
        >
          {say('common.import')}
        </button>
      </div>
      {obstacles.length > 0 && (
        <p class="section-note small">{say('surface.eachCountsUpHeight')}</p>
      )}
      {obstacles.length > 0 && (
        <ul class="obstacles" aria-label={say('surface.obstacles')}>
          {obstacles.map((obstacle, i) => (
            <ObstacleRow key={i} obstacle={obstacle} index={i} />
          ))}
        </ul>
      )}
    </Section>
  )
}

function ObstacleRow({ obstacle, index }: { obstacle: Obstacle; index: number }) {
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const { obstacles } = setup.value
  const change = (part: Partial<Obstacle>) =>
    changeSetup({ obstacles: obstacles.with(index, { ...obstacle, ...part }) })
  return (
    <li>
      <input
        type="text"
        class="obstacle-name"
        aria-label={say('surface.nameObstacle', { index: index + 1 })}
        value={obstacle.name}
        onChange={(event) => change({ name: event.currentTarget.value.trim() || obstacle.name })}
      />
      <span class="obstacle-kind">{say(KIND_NAMES[obstacle.kind])}</span>
      <NumberField
        label={say('common.heightOf', { name: obstacle.name })}
        help={say('surface.heightHelp')}
        isLabelHidden
        unit={symbol}
        value={obstacle.heightM / metres}
        digits={1}
        min={1}
        max={Math.floor(MAX_OBSTACLE_M / metres)}
        step={1}
        onChange={(height) => change({ heightM: height * metres })}
      />
      <button
        type="button"
        aria-label={say('common.removeNamed', { name: obstacle.name })}
        title={say('common.remove')}
        onClick={() => changeSetup({ obstacles: obstacles.toSpliced(index, 1) })}
      >
        ×
      </button>
    </li>
  )
}

function draw(kind: ObstacleKind): void {
  const { shape, heightM } = NEW[kind]
  startDrawing(say(KIND_NAMES[kind]), shape, (geometry) => {
    const { obstacles } = setup.value
    const same = obstacles.filter((obstacle) => obstacle.kind === kind).length
    const name = `${say(KIND_NAMES[kind])} ${same + 1}`
    changeSetup({ obstacles: [...obstacles, { name, kind, heightM, geometry }] })
  })
}

async function chooseModel(): Promise<void> {
  const sources = await host.openTerrain()
  if (sources.length > 0) await openSurfaceModel(sources)
}

async function importObstacles(): Promise<void> {
  const file = await host.openText(say('common.geojson'), ['geojson', 'json'])
  if (!file) return
  const found = orSentence(() => readObstacles(file.text, file.name))
  notice.value = typeof found === 'string' ? found : null
  if (typeof found !== 'string') {
    changeSetup({ obstacles: [...setup.value.obstacles, ...found] })
  }
}
