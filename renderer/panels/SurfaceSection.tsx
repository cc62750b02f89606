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
import { Section } from './Section'

/** How a kind is drawn, and the height it begins with, metres. */
const NEW: Readonly<Record<ObstacleKind, { shape: Shape; heightM: number }>> = {
  mast: { shape: 'point', heightM: 30 },
  wire: { shape: 'line', heightM: 25 },
  wood: { shape: 'area', heightM: 20 },
  building: { shape: 'area', heightM: 8 },
}
const KIND_NAMES: Readonly<Record<ObstacleKind, string>> = {
  mast: 'Mast',
  wire: 'Wire',
  wood: 'Wood',
  building: 'Building',
}

/** What stands on the ground, in the way of the radio path. */
export function SurfaceSection() {
  const { vegetation, clearingM, obstacles } = setup.value
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const model = surfaceModel.value
  const parts = [
    vegetation.heightM > 0 && 'vegetation',
    model && 'surface model',
    obstacles.length > 0 && `${obstacles.length} obstacle${obstacles.length > 1 ? 's' : ''}`,
  ].filter(Boolean)
  return (
    <Section title="What stands on the ground" summary={parts.join(', ') || 'nothing yet'}>
      <div class="fields">
        <NumberField
          label="Vegetation height"
          unit={symbol}
          value={vegetation.heightM / metres}
          digits={1}
          min={0}
          max={Math.floor(100 / metres)}
          step={1}
          help="Trees of this height on all ground that no surface model covers; the path must clear them."
          onChange={(height) =>
            changeSetup({ vegetation: { ...vegetation, heightM: height * metres } })
          }
        />
        <NumberField
          label="Clearing around launch"
          unit={symbol}
          value={clearingM / metres}
          digits={0}
          min={0}
          max={Math.floor(5000 / metres)}
          step={10}
          help="Within this distance of the launch point no vegetation counts: you stand where the view is free."
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
        In budgets radio passes trees, at a loss
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
        No trees above a tree line
      </label>
      {vegetation.treeLineM !== null && (
        <div class="fields fields-indented">
          <NumberField
            label="Tree line, AMSL"
            unit={symbol}
            value={vegetation.treeLineM / metres}
            digits={0}
            min={0}
            max={Math.floor(6000 / metres)}
            step={50}
            help="Ground above this height above sea level carries no trees."
            onChange={(line) =>
              changeSetup({ vegetation: { ...vegetation, treeLineM: line * metres } })
            }
          />
        </div>
      )}
      <div class="row">
        <span>
          {model
            ? `Surface model ${model.name}, on ${formatShare(model.share)} of the terrain`
            : 'No surface model'}
        </span>
        {model && (
          <button type="button" onClick={removeSurfaceModel}>
            Remove
          </button>
        )}
        <button
          type="button"
          title="A second elevation model that shows the tops of trees and buildings"
          onClick={() => void chooseModel()}
        >
          Open…
        </button>
      </div>
      <h3>Obstacles</h3>
      <div class="row">
        {OBSTACLE_KINDS.map((kind) => (
          <button type="button" key={kind} onClick={() => draw(kind)}>
            {KIND_NAMES[kind]}
          </button>
        ))}
        <button
          type="button"
          title='GeoJSON with a property "height_m" on every feature'
          onClick={() => void importObstacles()}
        >
          Import…
        </button>
      </div>
      {obstacles.length > 0 && (
        <p class="section-note small">
          Each counts up to its height as if nothing passed through it, a wire too; a wire runs
          straight between its points.
        </p>
      )}
      {obstacles.length > 0 && (
        <ul class="obstacles" aria-label="Obstacles">
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
        aria-label={`Name of obstacle ${index + 1}`}
        value={obstacle.name}
        onChange={(event) => change({ name: event.currentTarget.value.trim() || obstacle.name })}
      />
      <span class="obstacle-kind">{KIND_NAMES[obstacle.kind]}</span>
      <NumberField
        label={`Height of ${obstacle.name}`}
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
        aria-label={`Remove ${obstacle.name}`}
        title="Remove"
        onClick={() => changeSetup({ obstacles: obstacles.toSpliced(index, 1) })}
      >
        ×
      </button>
    </li>
  )
}

function draw(kind: ObstacleKind): void {
  const { shape, heightM } = NEW[kind]
  startDrawing(KIND_NAMES[kind], shape, (geometry) => {
    const { obstacles } = setup.value
    const same = obstacles.filter((obstacle) => obstacle.kind === kind).length
    const name = `${KIND_NAMES[kind]} ${same + 1}`
    changeSetup({ obstacles: [...obstacles, { name, kind, heightM, geometry }] })
  })
}

async function chooseModel(): Promise<void> {
  const sources = await host.openTerrain()
  if (sources.length > 0) await openSurfaceModel(sources)
}

async function importObstacles(): Promise<void> {
  const file = await host.openText('GeoJSON', ['geojson', 'json'])
  if (!file) return
  const found = orSentence(() => readObstacles(file.text, file.name))
  notice.value = typeof found === 'string' ? found : null
  if (typeof found !== 'string') {
    changeSetup({ obstacles: [...setup.value.obstacles, ...found] })
  }
}
