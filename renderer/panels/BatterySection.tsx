import {
  BATTERY_LIMITS,
  CHEMISTRIES,
  TYPICAL_BATTERY,
  type Battery,
  type Chemistry,
} from '../../core/energy/battery'
import { preferences } from '../state/preferences'
import { flyer, isReturnShown, returnBorder } from '../state/route'
import { changeSetup, setup } from '../state/setup'
import { formatHeight, formatNumber } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

const CHEMISTRY_NAMES: Readonly<Record<Chemistry, string>> = {
  lipo: 'Lithium polymer',
  liion: 'Lithium ion',
}
/** The pack, what of it may be used, and what cold does to it. */
export function BatterySection() {
  const { battery, flyingHeightM } = setup.value
  const change = (part: Partial<Battery>) =>
    changeSetup({ battery: { ...battery, name: 'Own', ...part } })
  const who = flyer.value
  const { units } = preferences.value
  return (
    <Section
      title="Battery"
      summary={`${battery.cells} cells, ${formatNumber(battery.capacityMah, 0)} mAh, ${formatNumber(battery.temperatureC, 0)} °C`}
    >
      {battery.name === TYPICAL_BATTERY.name && (
        <p class="section-note small">Typical values: put in your own.</p>
      )}
      <div class="fields">
        <NumberField
          label="Cells in series"
          unit=""
          value={battery.cells}
          digits={0}
          min={BATTERY_LIMITS.cells[0]}
          max={BATTERY_LIMITS.cells[1]}
          step={1}
          onChange={(cells) => change({ cells })}
        />
        <NumberField
          label="Capacity"
          unit="mAh"
          value={battery.capacityMah}
          digits={0}
          min={BATTERY_LIMITS.capacityMah[0]}
          max={BATTERY_LIMITS.capacityMah[1]}
          step={100}
          onChange={(capacityMah) => change({ capacityMah })}
        />
        <div class="field">
          <label for="chemistry">Chemistry</label>
          <select
            id="chemistry"
            value={battery.chemistry}
            onChange={(event) => {
              const chemistry = CHEMISTRIES.find((each) => each === event.currentTarget.value)
              if (chemistry) change({ chemistry })
            }}
          >
            {CHEMISTRIES.map((each) => (
              <option key={each} value={each}>
                {CHEMISTRY_NAMES[each]}
              </option>
            ))}
          </select>
        </div>
        <NumberField
          label="Temperature of the pack"
          unit="°C"
          value={battery.temperatureC}
          digits={0}
          min={BATTERY_LIMITS.temperatureC[0]}
          max={BATTERY_LIMITS.temperatureC[1]}
          step={5}
          help="In flight. A cold pack gives less and sags more; carry it warm."
          onChange={(temperatureC) => change({ temperatureC })}
        />
        <NumberField
          label="Usable share"
          unit="%"
          value={battery.usableShare * 100}
          digits={0}
          min={BATTERY_LIMITS.usableShare[0] * 100}
          max={BATTERY_LIMITS.usableShare[1] * 100}
          step={5}
          help="Of the capacity: less for an old pack."
          onChange={(percent) => change({ usableShare: percent / 100 })}
        />
        <NumberField
          label="Reserve"
          unit="%"
          value={battery.reserveShare * 100}
          digits={0}
          min={BATTERY_LIMITS.reserveShare[0] * 100}
          max={BATTERY_LIMITS.reserveShare[1] * 100}
          step={5}
          help="Of what is usable, to be left after landing."
          onChange={(percent) => change({ reserveShare: percent / 100 })}
        />
        <NumberField
          label="Resistance of a cell"
          unit="mΩ"
          value={battery.cellMohm}
          digits={1}
          min={BATTERY_LIMITS.cellMohm[0]}
          max={BATTERY_LIMITS.cellMohm[1]}
          step={1}
          help="At 20 °C with its share of the wiring, as a good charger measures it."
          onChange={(cellMohm) => change({ cellMohm })}
        />
        <NumberField
          label="Least voltage of a cell"
          unit="V"
          value={battery.leastCellV}
          digits={2}
          min={BATTERY_LIMITS.leastCellV[0]}
          max={BATTERY_LIMITS.leastCellV[1]}
          step={0.05}
          help="Under load; below it the pack has failed, empty or not."
          onChange={(leastCellV) => change({ leastCellV })}
        />
      </div>
      {typeof who !== 'string' && (
        <p class="section-note small">
          {formatNumber(who.pack.usableMah, 0)} mAh usable in this cold,{' '}
          {formatNumber(who.pack.budgetMah, 0)} mAh above the reserve.
        </p>
      )}
      <label class="check spaced">
        <input
          type="checkbox"
          checked={isReturnShown.value}
          onChange={(event) => (isReturnShown.value = event.currentTarget.checked)}
        />
        Show how far it gets there and back
      </label>
      {isReturnShown.value && (
        <p class="section-note small">
          Straight out and straight home, {formatHeight(flyingHeightM, units)} over the highest
          ground on the way, landing above the reserve: inside the dashed green line.
          {returnBorder.value?.length === 0 &&
            ' There is none now: nowhere with this battery and wind, or beyond the terrain everywhere.'}
        </p>
      )}
    </Section>
  )
}
