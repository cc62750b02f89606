import {
  COVERAGE_CLASSES,
  MAX_FLYING_HEIGHT_M,
  type CoverageClass,
} from '../../core/coverage/shares'
import { cssColour, PATTERN_WORDS, VEILS } from '../../core/picture/colours'
import { preferences } from '../state/preferences'
import { changeSetup, setup, setupHistory } from '../state/setup'
import { coverage } from '../state/coverage'
import { heightScale, shownLayer, type Layer } from '../state/shown'
import { errorM } from '../state/terrain'
import { formatHeight, formatShare, HEIGHT_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'
import { SignalLegend } from './SignalLegend'
import { say, type TextKey } from '../../core/words/say'
import { Swatch } from './Swatch'

/** The slider covers the heights usually flown; the field beside it reaches farther. */
const SLIDER_MAX_M = 300

const EXPLANATION: Readonly<Record<CoverageClass, TextKey>> = {
  fresnelClear: 'coverage.sightFresnelZoneFree',
  fresnelUncertain: 'coverage.sightZoneWithinTerrains',
  sightOnly: 'coverage.sightButGroundReaches',
  sightUncertain: 'coverage.sightNotWithinTerrains',
  blocked: 'coverage.groundHidesAircraft',
}

const LAYERS: readonly { layer: Layer; label: TextKey; title: TextKey }[] = [
  { layer: 'answers', label: 'coverage.height', title: 'coverage.shadeAnswerFlyingHeight' },
  { layer: 'sight', label: 'coverage.sight', title: 'coverage.shadeClearHeightSight' },
  { layer: 'fresnel', label: 'coverage.fresnel', title: 'coverage.shadeClearHeightFresnel' },
  { layer: 'signal', label: 'common.signal', title: 'coverage.shadeMarginLinks' },
]

/** Flying height, and what it does to the coverage of the site. */
export function CoverageSection() {
  const { flyingHeightM } = setup.value
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const change = (height: number, gesture: string | null) =>
    changeSetup({ flyingHeightM: height * metres }, gesture)
  return (
    <Section title={say('common.flyingHeight')} open>
      <div class="height-row">
        <input
          type="range"
          aria-label={say('coverage.flyingHeightAboveGround', { symbol })}
          min={0}
          max={Math.round(SLIDER_MAX_M / metres)}
          step={metres === 1 ? 1 : 5}
          value={Math.round(flyingHeightM / metres)}
          onInput={(event) =>
            change(Number(event.currentTarget.value), say('common.flyingHeightInText'))
          }
          onPointerUp={() => setupHistory.endGesture()}
          onBlur={() => setupHistory.endGesture()}
        />
        <NumberField
          label={say('coverage.aboveGround')}
          unit={symbol}
          value={flyingHeightM / metres}
          digits={1}
          min={0}
          max={Math.floor(MAX_FLYING_HEIGHT_M / metres)}
          step={metres === 1 ? 1 : 5}
          help={say('coverage.heightAircraftAboveGround')}
          onChange={(height) => change(height, null)}
        />
      </div>
      <div class="switch layer-switch" role="group" aria-label={say('coverage.shadingMap')}>
        {LAYERS.map(({ layer, label, title }) => (
          <button
            type="button"
            key={layer}
            title={say(title)}
            aria-pressed={shownLayer.value === layer}
            onClick={() => (shownLayer.value = layer)}
          >
            {say(label)}
          </button>
        ))}
      </div>
      {shownLayer.value === 'answers' ? (
        <AnswerLegend />
      ) : shownLayer.value === 'signal' ? (
        <SignalLegend />
      ) : (
        <HeightLegend />
      )}
      {coverage.value && coverage.value.counts.unanswered > 0 && (
        <p class="legend-rest">{say('coverage.unshadedGroundHasNo')}</p>
      )}
    </Section>
  )
}

function AnswerLegend() {
  const { flyingHeightM } = setup.value
  const { units } = preferences.value
  const shares = coverage.value?.counts.at(flyingHeightM)
  const isExact = errorM.value === 0
  const shown = COVERAGE_CLASSES.filter((name) => !(isExact && name.endsWith('Uncertain')))
  return (
    <>
      <ul class="legend" aria-label={say('coverage.shadingShareArea')}>
        {shown.map((name) => (
          <li key={name} data-class={name}>
            <Swatch words={PATTERN_WORDS} index={COVERAGE_CLASSES.indexOf(name)} />
            <span class="legend-name">{say(VEILS[name].label)}</span>
            <span class="legend-share">{shares ? formatShare(shares[name]) : '…'}</span>
            <span class="legend-note">{say(EXPLANATION[name])}</span>
          </li>
        ))}
      </ul>
      {!isExact && (
        <p class="legend-rest">
          {say('coverage.dottedTerrainErrorSee', { errorM: formatHeight(errorM.value, units, 1) })}
        </p>
      )}
    </>
  )
}

/** The scale of the clear heights, even steps from stop to stop. */
function HeightLegend() {
  const { stops, colours } = heightScale.value
  const { symbol } = HEIGHT_UNIT[preferences.value.units]
  return (
    <div class="height-legend">
      <div
        class="height-scale"
        style={{
          background: `linear-gradient(to right, ${colours.map(cssColour).join(', ')}), #dedacf`,
        }}
      />
      <ol aria-label={say('coverage.scaleClearHeightsAbove', { symbol })}>
        {stops.map((stop, i) => (
          <li key={stop} style={{ left: `${(100 * i) / (stops.length - 1)}%` }}>
            {stop}
          </li>
        ))}
      </ol>
      <p class="legend-rest">
        {say('coverage.lowestHeightAboveGround', {
          symbol,
          layer: shownLayer.value,
        })}
      </p>
    </div>
  )
}
