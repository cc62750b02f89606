import { computed } from '@preact/signals'
import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { locator } from '../state/terrain'
import { formatDistance, METRES_PER_MILE } from '../../core/words/units'
import { NumberField } from './NumberField'
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
    ...(sector === null ? [] : [`${sector.widthDeg}° toward ${sector.azimuthDeg}°`]),
  ]
  return (
    <Section title="Range and sector" summary={limits.join(', ') || 'everything'}>
      <label class="check">
        <input
          type="checkbox"
          checked={radiusM !== null}
          onChange={(event) =>
            changeSetup({ radiusM: event.currentTarget.checked ? FIRST_RADIUS_M : null })
          }
        />
        Only within a radius
      </label>
      {radiusM !== null && (
        <div class="fields fields-indented">
          <NumberField
            label="Radius"
            unit={unit}
            value={radiusM / metres}
            digits={2}
            min={0.1}
            max={200}
            step={0.5}
            help="Cells farther from the launch point are not looked at and not counted."
            onChange={(radius) => changeSetup({ radiusM: radius * metres })}
          />
          {radiusM > borderM.value && (
            <p class="section-note small">
              The terrain ends {formatDistance(borderM.value, units)} from the launch point; past
              its border there is no answer.
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
        Only in a sector
      </label>
      {sector !== null && (
        <div class="fields fields-indented">
          <NumberField
            label="Azimuth"
            unit="°"
            value={sector.azimuthDeg}
            digits={1}
            min={0}
            max={360}
            step={5}
            help="Direction of the middle of the sector, clockwise from true north."
            onChange={(azimuthDeg) => changeSetup({ sector: { ...sector, azimuthDeg } })}
          />
          <NumberField
            label="Width"
            unit="°"
            value={sector.widthDeg}
            digits={1}
            min={1}
            max={360}
            step={5}
            help="Whole angle of the sector, such as the beamwidth of the ground antenna."
            onChange={(widthDeg) => changeSetup({ sector: { ...sector, widthDeg } })}
          />
        </div>
      )}
    </Section>
  )
}
