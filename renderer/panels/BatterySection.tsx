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
import { say, type TextKey } from '../../core/words/say'
import { Section } from './Section'

const CHEMISTRY_NAMES: Readonly<Record<Chemistry, TextKey>> = {
  lipo: 'battery.lithiumPolymer',
  liion: 'battery.lithiumIon',
}
/** The pack, what of it may be used, and what cold does to it. */
export function BatterySection() {
  const { battery, flyingHeightM } = setup.value
  const change = (part: Partial<Battery>) =>
    changeSetup({ battery: { ...battery, name: say('common.own'), ...part } })
  const who = flyer.value
  const { units } = preferences.value
  return (
    <Section
      title={say('common.battery')}
      summary={say('battery.cellsMahC', {
        cells: battery.cells,
        capacityMah: formatNumber(battery.capacityMah, 0),
        temperatureC: formatNumber(battery.temperatureC, 0),
      })}
    >
      {battery.name === TYPICAL_BATTERY.name && (
        <p class="section-note small">{say('battery.typicalValuesPutYour')}</p>
      )}
      <div class="fields">
        <NumberField
          label={say('battery.cellsSeries')}
          help={say('battery.cellsHelp')}
          unit=""
          value={battery.cells}
          digits={0}
          min={BATTERY_LIMITS.cells[0]}
          max={BATTERY_LIMITS.cells[1]}
          step={1}
          onChange={(cells) => change({ cells })}
        />
        <NumberField
          label={say('battery.capacity')}
          help={say('battery.capacityHelp')}
          unit="mAh"
          value={battery.capacityMah}
          digits={0}
          min={BATTERY_LIMITS.capacityMah[0]}
          max={BATTERY_LIMITS.capacityMah[1]}
          step={100}
          onChange={(capacityMah) => change({ capacityMah })}
        />
        <div class="field">
          <label for="chemistry">{say('battery.chemistry')}</label>
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
                {say(CHEMISTRY_NAMES[each])}
              </option>
            ))}
          </select>
        </div>
        <NumberField
          label={say('battery.temperaturePack')}
          unit="°C"
          value={battery.temperatureC}
          digits={0}
          min={BATTERY_LIMITS.temperatureC[0]}
          max={BATTERY_LIMITS.temperatureC[1]}
          step={5}
          help={say('battery.flightColdPackGives')}
          onChange={(temperatureC) => change({ temperatureC })}
        />
        <NumberField
          label={say('battery.usableShare')}
          unit="%"
          value={battery.usableShare * 100}
          digits={0}
          min={BATTERY_LIMITS.usableShare[0] * 100}
          max={BATTERY_LIMITS.usableShare[1] * 100}
          step={5}
          help={say('battery.capacityLessOldPack')}
          onChange={(percent) => change({ usableShare: percent / 100 })}
        />
        <NumberField
          label={say('battery.reserve')}
          unit="%"
          value={battery.reserveShare * 100}
          digits={0}
          min={BATTERY_LIMITS.reserveShare[0] * 100}
          max={BATTERY_LIMITS.reserveShare[1] * 100}
          step={5}
          help={say('battery.whatUsableLeftAfter')}
          onChange={(percent) => change({ reserveShare: percent / 100 })}
        />
        <NumberField
          label={say('battery.resistanceField')}
          unit="mΩ"
          value={battery.cellMohm}
          digits={1}
          min={BATTERY_LIMITS.cellMohm[0]}
          max={BATTERY_LIMITS.cellMohm[1]}
          step={1}
          help={say('battery.resistanceHelp')}
          onChange={(cellMohm) => change({ cellMohm })}
        />
        <NumberField
          label={say('battery.leastVoltageField')}
          unit="V"
          value={battery.leastCellV}
          digits={2}
          min={BATTERY_LIMITS.leastCellV[0]}
          max={BATTERY_LIMITS.leastCellV[1]}
          step={0.05}
          help={say('battery.underLoadBelowPack')}
          onChange={(leastCellV) => change({ leastCellV })}
        />
      </div>
      {typeof who !== 'string' && (
        <p class="section-note small">
          {say('battery.mahUsableColdMah', {
            usableMah: formatNumber(who.pack.usableMah, 0),
            budgetMah: formatNumber(who.pack.budgetMah, 0),
          })}
        </p>
      )}
      <label class="check spaced">
        <input
          type="checkbox"
          checked={isReturnShown.value}
          onChange={(event) => (isReturnShown.value = event.currentTarget.checked)}
        />
        {say('battery.showHowFarGets')}
      </label>
      {isReturnShown.value && (
        <p class="section-note small">
          {say('battery.straightOutStraightHome', {
            flyingHeightM: formatHeight(flyingHeightM, units),
          })}
          {returnBorder.value?.length === 0 && say('battery.thereNoneNowNowhere')}
        </p>
      )}
    </Section>
  )
}
