import { likelyKind, MODEL_KINDS } from '../../core/coverage/uncertainty'
import { preferences } from '../state/preferences'
import { changeSetup, setup } from '../state/setup'
import { cutAnew } from '../state/opening'
import { errorM, summary, terrain } from '../state/terrain'
import { shiftWords } from '../../core/geodesy/crs'
import { guideIsOpen } from '../opening/TerrainGuide'
import { formatHeight, formatNumber, HEIGHT_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { say, saying } from '../../core/words/say'
import { Section } from './Section'

/** What the terrain at hand is. */
export function TerrainSection() {
  const grid = terrain.value
  if (!grid || !summary.value) return null
  const { units } = preferences.value
  const { lowestM, highestM, missingShare, filledCells } = summary.value
  const km = (cells: number) => formatNumber((cells * grid.cellM) / 1000, 1)
  return (
    <Section title={say('terrain.terrain')} summary={grid.name}>
      <dl class="facts">
        <dt>{say('common.name')}</dt>
        <dd>{grid.name}</dd>
        <dt>{say('terrain.grid')}</dt>
        <dd>
          {say('terrain.cellsMKm', {
            cols: formatNumber(grid.cols, 0),
            rows: formatNumber(grid.rows, 0),
            cellM: grid.cellM,
            cols2: km(grid.cols),
            rows2: km(grid.rows),
            origin: saying(grid.origin),
          })}
        </dd>
        <dt>{say('terrain.crs')}</dt>
        <dd>
          {grid.crs.name}
          {grid.crs.epsg !== null && say('common.epsg', { epsg: grid.crs.epsg })}
          {shiftWords(grid.crs)}
        </dd>
        <dt>{say('common.heights')}</dt>
        <dd>
          {say('common.to', {
            lowestM: formatHeight(lowestM, units),
            highestM: formatHeight(highestM, units),
          })}
          {missingShare > 0 &&
            say('terrain.withoutDataHatched', {
              missingShare: formatNumber(100 * missingShare, 1),
            })}
          {filledCells > 0 &&
            say('terrain.cellsVoidsFilledDotted', { filledCells: formatNumber(filledCells, 0) })}
        </dd>
      </dl>
      <div class="row">
        <button type="button" onClick={() => void cutAnew()}>
          {say('terrain.anotherPartCell')}
        </button>
        <button type="button" onClick={() => (guideIsOpen.value = true)}>
          {say('common.whereGetTerrain')}
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
      <h3>{say('terrain.verticalError')}</h3>
      <div class="field field-wide">
        <label for="model-kind">{say('terrain.kindElevationModel')}</label>
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
              {say(label)}
            </option>
          ))}
          {!kind && <option value="own">{say('terrain.another')}</option>}
        </select>
      </div>
      <div class="fields error-fields">
        <NumberField
          label={say('terrain.nineHeightsTenWithin')}
          unit={symbol}
          value={errorM.value / metres}
          digits={1}
          min={0}
          max={Math.floor(MAX_ERROR_M / metres)}
          step={1}
          help={say('terrain.errorTerrainsHeightsLe90')}
          onChange={(error) => changeSetup({ errorM: error * metres })}
        />
      </div>
      {kind && (
        <p class="section-note small">{say('terrain.source', { source: say(kind.source) })}</p>
      )}
    </>
  )
}
