import { likelyKind, MODEL_KINDS } from '../../core/coverage/uncertainty'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { cutAnew } from '../state/opening'
import { errorM, summary, terrain } from '../state/terrain'
import { shiftWords } from '../../core/geodesy/crs'
import { guideIsOpen } from '../opening/TerrainGuide'
import { formatHeight, formatNumber, HEIGHT_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

/** What the terrain at hand is. */
export function TerrainSection() {
  const grid = terrain.value
  if (!grid || !summary.value) return null
  const { units } = preferences.value
  const { lowestM, highestM, missingShare, filledCells } = summary.value
  const km = (cells: number) => formatNumber((cells * grid.cellM) / 1000, 1)
  return (
    <Section title="Terrain" summary={grid.name}>
      <dl class="facts">
        <dt>Name</dt>
        <dd>{grid.name}</dd>
        <dt>Grid</dt>
        <dd>
          {formatNumber(grid.cols, 0)} × {formatNumber(grid.rows, 0)} cells of {grid.cellM} m (
          {km(grid.cols)} × {km(grid.rows)} km), {grid.origin}
        </dd>
        <dt>CRS</dt>
        <dd>
          {grid.crs.name}
          {grid.crs.epsg !== null && ` (EPSG:${grid.crs.epsg})`}
          {shiftWords(grid.crs)}
        </dd>
        <dt>Heights</dt>
        <dd>
          {formatHeight(lowestM, units)} to {formatHeight(highestM, units)}
          {missingShare > 0 && `, ${formatNumber(100 * missingShare, 1)} % without data (hatched)`}
          {filledCells > 0 && `, ${formatNumber(filledCells, 0)} cells of voids filled (dotted)`}
        </dd>
      </dl>
      <div class="row">
        <button type="button" onClick={() => void cutAnew()}>
          Another part or cell…
        </button>
        <button type="button" onClick={() => (guideIsOpen.value = true)}>
          Where to get terrain
        </button>
      </div>
      <ErrorFields />
    </Section>
  )
}

const MAX_ERROR_M = 100

/** How far the terrain's heights may be off: what makes an answer uncertain. */
function ErrorFields() {
  const grid = terrain.value
  if (!grid) return null
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const likely = likelyKind(grid.cellM)
  const chosen = setup.value.errorM
  const kind = chosen === null ? likely : MODEL_KINDS.find(({ errorM }) => errorM === chosen)
  return (
    <>
      <h3>Vertical error</h3>
      <div class="field field-wide">
        <label for="model-kind">Kind of elevation model</label>
        <select
          id="model-kind"
          value={kind?.id ?? 'own'}
          onChange={(event) => {
            const next = MODEL_KINDS.find(({ id }) => id === event.currentTarget.value)
            if (next) changeSetup({ errorM: next === likely ? null : next.errorM })
          }}
        >
          {MODEL_KINDS.map(({ id, label }) => (
            <option key={id} value={id}>
              {label}
            </option>
          ))}
          {!kind && <option value="own">Another</option>}
        </select>
      </div>
      <div class="fields error-fields">
        <NumberField
          label="Nine heights in ten within"
          unit={symbol}
          value={errorM.value / metres}
          digits={1}
          min={0}
          max={Math.floor(MAX_ERROR_M / metres)}
          step={1}
          help="Error of the terrain's heights (LE90). It is carried along the path: a ridge half-way moves the clear height by twice its error. 0 shows sure answers only."
          onChange={(error) => changeSetup({ errorM: error * metres })}
        />
      </div>
      {kind && <p class="section-note small">Source: {kind.source}.</p>}
    </>
  )
}
