import { preferences } from '../state/preferences'
import { nearbyVerdict } from '../state/nearby'
import { changeSetup, setup } from '../state/setup'
import { formatHeight, formatNumber, HEIGHT_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

/** The control transmitter beside the video receiver: does it spoil the picture? */
export function NearbySection() {
  const { nearby, control } = setup.value
  const { units } = preferences.value
  const { symbol, metres } = HEIGHT_UNIT[units]
  const verdict = nearbyVerdict.value
  const { harmonic } = verdict
  const change = (part: Partial<typeof nearby>) => changeSetup({ nearby: { ...nearby, ...part } })
  return (
    <Section
      title="Own transmitter beside the receiver"
      summary={verdict.isHarmful ? 'too close' : ''}
    >
      <div class="fields">
        <NumberField
          label="Distance between antennas"
          unit={symbol}
          value={nearby.separationM / metres}
          digits={1}
          min={0.1}
          max={100}
          step={0.5}
          help="From the control transmitter's antenna to the video receiver's."
          onChange={(separation) => change({ separationM: separation * metres })}
        />
        <NumberField
          label="Harmonics down by"
          unit="dB"
          value={nearby.harmonicSuppressionDb}
          digits={0}
          min={0}
          max={120}
          step={5}
          help="How far the transmitter's harmonics lie under its carrier."
          onChange={(harmonicSuppressionDb) => change({ harmonicSuppressionDb })}
        />
        <NumberField
          label="Video channel width"
          unit="MHz"
          value={nearby.channelWidthMhz}
          digits={1}
          min={1}
          max={200}
          step={1}
          help="Of the receiver around the video frequency."
          onChange={(channelWidthMhz) => change({ channelWidthMhz })}
        />
      </div>
      <dl class="facts spaced">
        <dt>Carrier arrives at</dt>
        <dd>
          {formatNumber(verdict.carrierDbm, 0)} dBm (dulled above {verdict.dullingDbm} dBm)
        </dd>
        <dt>Harmonic in channel</dt>
        <dd>
          {harmonic
            ? `${harmonic.order} × ${formatNumber(control.frequencyMhz, 0)} MHz at ${formatNumber(harmonic.levelDbm, 0)} dBm (noise ${formatNumber(verdict.noiseDbm, 0)} dBm)`
            : 'none up to the 8th'}
        </dd>
        <dt>Keep apart</dt>
        <dd>{formatHeight(verdict.separationNeededM, units, 1)} or more</dd>
      </dl>
      {verdict.isHarmful && <p class="caution-note">{harmWords(units)}</p>}
      <p class="section-note small">
        An estimate: all-around antennas, free space. Real ones couple several dB more or less.
      </p>
    </Section>
  )
}

function harmWords(units: 'metric' | 'feet'): string {
  const { nearby } = setup.value
  return `At ${formatHeight(nearby.separationM, units, 1)} your own transmitter can break the picture up although the margin is there: move them apart, or turn the power down.`
}
