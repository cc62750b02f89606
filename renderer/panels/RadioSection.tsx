import type { RadioSettings } from '../../core/propagation/path'
import { changeSetup, setup } from '../state/setup'
import { formatNumber } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

/** What the radio path depends on besides the frequency, which is the video link's. */
export function RadioSection() {
  const { radio } = setup.value
  const change = (part: Partial<RadioSettings>) => changeSetup({ radio: { ...radio, ...part } })
  return (
    <Section
      title="Radio path"
      summary={`k ${formatNumber(radio.kFactor, 2)}, ${formatNumber(radio.fresnelFraction, 2)} F1`}
    >
      <div class="fields">
        <NumberField
          label="k-factor"
          unit=""
          value={radio.kFactor}
          digits={3}
          min={0.3}
          max={1000}
          step={0.1}
          help="Effective Earth radius factor: 4/3 in a standard atmosphere."
          onChange={(kFactor) => change({ kFactor })}
        />
        <NumberField
          label="Fresnel share wanted"
          unit=""
          value={radio.fresnelFraction}
          digits={2}
          min={0}
          max={1}
          step={0.05}
          help="Share of the first Fresnel zone's radius that must stay free: usually 0.6."
          onChange={(fresnelFraction) => change({ fresnelFraction })}
        />
      </div>
    </Section>
  )
}
