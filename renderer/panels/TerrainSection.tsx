import { computed } from '@preact/signals'
import { preferences } from '../state/preferences'
import { terrain } from '../state/site'
import { formatHeight, formatNumber } from '../state/units'

const heightRange = computed(() => {
  let [lowest, highest, missing] = [Infinity, -Infinity, 0]
  const heights = terrain.value?.heights ?? []
  for (let i = 0; i < heights.length; i++) {
    const height = heights[i]
    if (Number.isNaN(height)) missing++
    if (height < lowest) lowest = height
    if (height > highest) highest = height
  }
  return { lowest, highest, missingShare: missing / heights.length }
})

/** What the terrain at hand is. */
export function TerrainSection() {
  const grid = terrain.value
  if (!grid) return null
  const { units } = preferences.value
  const { lowest, highest, missingShare } = heightRange.value
  const km = (cells: number) => formatNumber((cells * grid.cellM) / 1000, 1)
  return (
    <section aria-labelledby="terrain-heading">
      <h2 id="terrain-heading">Terrain</h2>
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
        </dd>
        <dt>Heights</dt>
        <dd>
          {formatHeight(lowest, units)} to {formatHeight(highest, units)}
          {missingShare > 0 && `, ${formatNumber(100 * missingShare, 1)} % without data`}
        </dd>
      </dl>
    </section>
  )
}
