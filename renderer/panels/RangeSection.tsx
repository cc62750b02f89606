import { computed } from '@preact/signals'
import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { locator } from '../state/terrain'
import { formatDistance, METRES_PER_MILE } from '../../core/words/units'
import { NumberField } from './NumberField'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** What the limits begin with when they are turned on. */
const FIRST_RADIUS_M = 5000
const FIRST_SECTOR = { azimuthDeg: 0, widthDeg: 90 }

/** Ground distance from the launch point to the nearest border of the terrain, metres. */
const borderM = computed(() => {
  const place = locator.value
  return place ? place.toBorderM(place.toGrid(setup.value.launch)) : Infinity
})

/** How far and which way the coverage looks. */
export function RangeSection() {
  const { radiusM, sector } = setup.value
  const { units } = preferences.value
  const [unit, metres] = units === 'metric' ? ['km', 1000] : ['mi', METRES_PER_MILE]
  const limits = [
    ...(radiusM === null ? [] : [formatDistance(radiusM, units)]),
    ...(sector === null
      ? []
      : [say('range.toward', { widthDeg: sector.widthDeg, azimuthDeg: sector.azimuthDeg })]),
  ]
  return (
    <Section
      title={say('range.rangeSector')}
      summary={limits.join(', ') || say('range.everything')}
    >
      <label class="check">
        <input
          type="checkbox"
          checked={radiusM !== null}
          onChange={(event) =>
            changeSetup({ radiusM: event.currentTarget.checked ? FIRST_RADIUS_M : null })
          }
        />
        {say('range.onlyWithinRadius')}
      </label>
      {radiusM !== null && (
        <div class="fields fields-indented">
          <NumberField
            label={say('range.radius')}
            unit={unit}
            value={radiusM / metres}
            digits={2}
            min={0.1}
            max={200}
            step={0.5}
            help={say('range.cellsFartherLaunchPoint')}
            onChange={(radius) => changeSetup({ radiusM: radius * metres })}
          />
          {radiusM > borderM.value && (
            <p class="section-note small">
              {say('range.terrainEndsLaunchPoint', {
                borderM: formatDistance(borderM.value, units),
              })}
            </p>
          )}
        </div>
      )}
      <label class="check">
        <input
          type="checkbox"
          checked={sector !== null}
          onChange={(event) =>
            changeSetup({ sector: event.currentTarget.checked ? FIRST_SECTOR : null })
          }
        />
        {say('range.onlySector')}
      </label>
      {sector !== null && (
        <div class="fields fields-indented">
          <NumberField
            label={say('common.azimuth')}
            unit="°"
            value={sector.azimuthDeg}
            digits={1}
            min={0}
            max={360}
            step={5}
            help={say('range.directionMiddleSectorClockwise')}
            onChange={(azimuthDeg) => changeSetup({ sector: { ...sector, azimuthDeg } })}
          />
          <NumberField
            label={say('range.width')}
            unit="°"
            value={sector.widthDeg}
            digits={1}
            min={1}
            max={360}
            step={5}
            help={say('range.wholeAngleSectorSuch')}
            onChange={(widthDeg) => changeSetup({ sector: { ...sector, widthDeg } })}
          />
        </div>
      )}
    </Section>
  )
}
