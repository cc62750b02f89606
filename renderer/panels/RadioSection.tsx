import type { RadioSettings } from '../../core/propagation/path'
import { changeSetup, setup } from '../state/setup'
import { formatNumber } from '../../core/words/units'
import { NumberField } from './NumberField'
import { say } from '../../core/words/say'
import { Section } from './Section'

/** What the radio path depends on besides the frequency, which is the video link's. */
export function RadioSection() {
  const { radio } = setup.value
  const change = (part: Partial<RadioSettings>) => changeSetup({ radio: { ...radio, ...part } })
  return (
    <Section
      title={say('radio.radioPath')}
      summary={say('radio.kF1', {
        kFactor: formatNumber(radio.kFactor, 2),
        fresnelFraction: formatNumber(radio.fresnelFraction, 2),
      })}
    >
      <div class="fields">
        <NumberField
          label={say('radio.kFactor')}
          unit=""
          value={radio.kFactor}
          digits={3}
          min={0.3}
          max={1000}
          step={0.1}
          help={say('radio.effectiveEarthRadiusFactor')}
          onChange={(kFactor) => change({ kFactor })}
        />
        <NumberField
          label={say('radio.fresnelShareWanted')}
          unit=""
          value={radio.fresnelFraction}
          digits={2}
          min={0}
          max={1}
          step={0.05}
          help={say('radio.shareFirstFresnelZones')}
          onChange={(fresnelFraction) => change({ fresnelFraction })}
        />
      </div>
    </Section>
  )
}
