import { preferences } from '../state/preferences'
import { nearbyVerdict } from '../state/nearby'
import { changeSetup, setup } from '../state/setup'
import { formatHeight, formatNumber, HEIGHT_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { say } from '../../core/words/say'
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
      title={say('nearby.ownTransmitterBesideReceiver')}
      summary={verdict.isHarmful ? say('nearby.tooClose') : ''}
    >
      <div class="fields">
        <NumberField
          label={say('nearby.distanceBetweenAntennas')}
          unit={symbol}
          value={nearby.separationM / metres}
          digits={1}
          min={0.1}
          max={100}
          step={0.5}
          help={say('nearby.controlTransmittersAntennaVideo')}
          onChange={(separation) => change({ separationM: separation * metres })}
        />
        <NumberField
          label={say('nearby.harmonicsDown')}
          unit="dB"
          value={nearby.harmonicSuppressionDb}
          digits={0}
          min={0}
          max={120}
          step={5}
          help={say('nearby.howFarTransmittersHarmonics')}
          onChange={(harmonicSuppressionDb) => change({ harmonicSuppressionDb })}
        />
        <NumberField
          label={say('nearby.videoChannelWidth')}
          unit="MHz"
          value={nearby.channelWidthMhz}
          digits={1}
          min={1}
          max={200}
          step={1}
          help={say('nearby.receiverAroundVideoFrequency')}
          onChange={(channelWidthMhz) => change({ channelWidthMhz })}
        />
      </div>
      <dl class="facts spaced">
        <dt>{say('nearby.carrierArrives')}</dt>
        <dd>
          {say('nearby.dbmDulledAboveDbm', {
            carrierDbm: formatNumber(verdict.carrierDbm, 0),
            dullingDbm: verdict.dullingDbm,
          })}
        </dd>
        <dt>{say('nearby.harmonicChannel')}</dt>
        <dd>
          {harmonic
            ? say('nearby.mhzDbmNoiseDbm', {
                order: harmonic.order,
                frequencyMhz: formatNumber(control.frequencyMhz, 0),
                levelDbm: formatNumber(harmonic.levelDbm, 0),
                noiseDbm: formatNumber(verdict.noiseDbm, 0),
              })
            : say('nearby.noneUp8th')}
        </dd>
        <dt>{say('nearby.keepApart')}</dt>
        <dd>
          {say('nearby.more', {
            separationNeededM: formatHeight(verdict.separationNeededM, units, 1),
          })}
        </dd>
      </dl>
      {verdict.isHarmful && <p class="caution-note">{harmWords(units)}</p>}
      <p class="section-note small">{say('nearby.estimateAllAroundAntennas')}</p>
    </Section>
  )
}

function harmWords(units: 'metric' | 'feet'): string {
  const { nearby } = setup.value
  return say('nearby.yourOwnTransmitterCan', {
    separationM: formatHeight(nearby.separationM, units, 1),
  })
}
