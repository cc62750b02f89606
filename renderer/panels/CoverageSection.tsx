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
import { Swatch } from './Swatch'

/** The slider covers the heights usually flown; the field beside it reaches farther. */
const SLIDER_MAX_M = 300

const EXPLANATION: Readonly<Record<CoverageClass, string>> = {
  fresnelClear: 'sight, and the Fresnel zone is free',
  fresnelUncertain: 'sight; the zone within the terrain’s error',
  sightOnly: 'sight, but ground reaches into the Fresnel zone',
  sightUncertain: 'sight or not: within the terrain’s error',
  blocked: 'ground hides the aircraft',
}

const LAYERS: readonly { layer: Layer; label: string; title: string }[] = [
  { layer: 'answers', label: 'At height', title: 'Shade by the answer at the flying height' },
  { layer: 'sight', label: 'Sight from', title: 'Shade by the clear height for sight' },
  { layer: 'fresnel', label: 'Fresnel from', title: 'Shade by the clear height for Fresnel' },
  { layer: 'signal', label: 'Signal', title: 'Shade by the margin of the links' },
]

/** Flying height, and what it does to the coverage of the site. */
export function CoverageSection() {
  const { flyingHeightM } = setup.value
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const change = (height: number, gesture: string | null) =>
    changeSetup({ flyingHeightM: height * metres }, gesture)
  return (
    <Section title="Flying height" open>
      <div class="height-row">
        <input
          type="range"
          aria-label={`Flying height above ground, ${symbol}`}
          min={0}
          max={Math.round(SLIDER_MAX_M / metres)}
          step={metres === 1 ? 1 : 5}
          value={Math.round(flyingHeightM / metres)}
          onInput={(event) => change(Number(event.currentTarget.value), 'flying height')}
          onPointerUp={() => setupHistory.endGesture()}
          onBlur={() => setupHistory.endGesture()}
        />
        <NumberField
          label="Above ground"
          unit={symbol}
          value={flyingHeightM / metres}
          digits={1}
          min={0}
          max={Math.floor(MAX_FLYING_HEIGHT_M / metres)}
          step={metres === 1 ? 1 : 5}
          help="Height of the aircraft above the ground below it."
          onChange={(height) => change(height, null)}
        />
      </div>
      <div class="switch layer-switch" role="group" aria-label="Shading of the map">
        {LAYERS.map(({ layer, label, title }) => (
          <button
            type="button"
            key={layer}
            title={title}
            aria-pressed={shownLayer.value === layer}
            onClick={() => (shownLayer.value = layer)}
          >
            {label}
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
        <p class="legend-rest">
          Unshaded ground has no answer: terrain data is missing there or on the way, or it lies
          outside the radius or sector. It is not counted.
        </p>
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
      <ul class="legend" aria-label="Shading, with the share of the area">
        {shown.map((name) => (
          <li key={name} data-class={name}>
            <Swatch words={PATTERN_WORDS} index={COVERAGE_CLASSES.indexOf(name)} />
            <span class="legend-name">{VEILS[name].label}</span>
            <span class="legend-share">{shares ? formatShare(shares[name]) : '…'}</span>
            <span class="legend-note">{EXPLANATION[name]}</span>
          </li>
        ))}
      </ul>
      {!isExact && (
        <p class="legend-rest">
          Dotted: a terrain error of {formatHeight(errorM.value, units, 1)} (see Terrain), carried
          along the path, could turn the answer.
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
      <ol aria-label={`Scale of clear heights, ${symbol} above ground`}>
        {stops.map((stop, i) => (
          <li key={stop} style={{ left: `${(100 * i) / (stops.length - 1)}%` }}>
            {stop}
          </li>
        ))}
      </ol>
      <p class="legend-rest">
        Lowest height above ground, in {symbol}, at which the launch antenna is{' '}
        {shownLayer.value === 'sight' ? 'in sight' : 'in sight with the Fresnel zone free'}. Darker
        means higher; lines at the scale’s heights.
      </p>
    </div>
  )
}
