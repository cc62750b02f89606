import { LIMITS } from '../../core/radio/link'
import type { RadioSettings } from '../../core/propagation/path'
import { changeLink } from '../state/links'
import { changeSetup, setup } from '../state/setup'
import { formatNumber } from '../state/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

/** What the radio path depends on. */
export function RadioSection() {
  const { radio } = setup.value
  const change = (part: Partial<RadioSettings>) => changeSetup({ radio: { ...radio, ...part } })
  return (
    <Section title="Radio path" summary={`${formatNumber(radio.frequencyMhz, 0)} MHz`}>
      <div class="fields">
        <NumberField
          label="Frequency"
          unit="MHz"
          value={radio.frequencyMhz}
          digits={1}
          min={LIMITS.frequencyMhz[0]}
          max={LIMITS.frequencyMhz[1]}
          step={5}
          help="Of the video link; it sets the width of the Fresnel zone."
          onChange={(frequencyMhz) => changeLink('video', { frequencyMhz })}
        />
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
