import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { METRES_PER_MILE } from '../state/units'
import { NumberField } from './NumberField'

/** What the limits begin with when they are turned on. */
const FIRST_RADIUS_M = 5000
const FIRST_SECTOR = { azimuthDeg: 0, widthDeg: 90 }

/** How far and which way the coverage looks. */
export function RangeSection() {
  const { radiusM, sector } = setup.value
  const [unit, metres] =
    preferences.value.units === 'metric' ? ['km', 1000] : ['mi', METRES_PER_MILE]
  return (
    <section aria-labelledby="range-heading">
      <h2 id="range-heading">Range and sector</h2>
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
    </section>
  )
}
