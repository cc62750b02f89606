import {
  COVERAGE_CLASSES,
  MAX_FLYING_HEIGHT_M,
  type CoverageClass,
} from '../../core/coverage/shares'
import { cssColour, STRIPE_PIXELS, VEILS } from '../../core/picture/colours'
import { preferences } from '../state/preferences'
import { changeSetup, setup, setupHistory } from '../state/setup'
import { coverage } from '../state/coverage'
import { formatShare, HEIGHT_UNIT } from '../state/units'
import { NumberField } from './NumberField'

/** The slider covers the heights usually flown; the field beside it reaches farther. */
const SLIDER_MAX_M = 300

const EXPLANATION: Readonly<Record<CoverageClass, string>> = {
  fresnelClear: 'sight, and the Fresnel zone is free',
  sightOnly: 'sight, but ground reaches into the Fresnel zone',
  blocked: 'ground hides the aircraft',
}

/** Flying height, and what it does to the coverage of the site. */
export function CoverageSection() {
  const { flyingHeightM } = setup.value
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const change = (height: number, gesture: string | null) =>
    changeSetup({ flyingHeightM: height * metres }, gesture)
  const shares = coverage.value?.counts.at(flyingHeightM)
  return (
    <section aria-labelledby="coverage-heading">
      <h2 id="coverage-heading">Flying height</h2>
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
      <ul class="legend" aria-label="Shading, with the share of the area">
        {COVERAGE_CLASSES.map((name) => (
          <li key={name}>
            <span class="swatch" style={swatchStyle(name)} />
            <span class="legend-name">{VEILS[name].label}</span>
            <span class="legend-share">{shares ? formatShare(shares[name]) : '…'}</span>
            <span class="legend-note">{EXPLANATION[name]}</span>
          </li>
        ))}
      </ul>
      {coverage.value && coverage.value.counts.unanswered > 0 && (
        <p class="legend-rest">
          Unshaded ground has no answer: terrain data is missing there or on the way, or it lies
          outside the radius or sector. It is not counted.
        </p>
      )}
    </section>
  )
}

function swatchStyle(name: CoverageClass): { background: string } {
  const { colour, stripe } = VEILS[name]
  const [one, other] = [cssColour(colour), cssColour(stripe ?? colour)]
  const width = STRIPE_PIXELS * Math.SQRT1_2
  return {
    background: `repeating-linear-gradient(135deg, ${one} 0 ${width}px, ${other} ${width}px ${2 * width}px), #dedacf`,
  }
}
