import { WIND_LIMITS, type Wind } from '../../core/energy/wind'
import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { formatNumber, formatSpeed, HEIGHT_UNIT, SPEED_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

/** The wind over the site. */
export function WindSection() {
  const { wind } = setup.value
  const { units } = preferences.value
  const { symbol, metres } = HEIGHT_UNIT[units]
  const speed = SPEED_UNIT[units]
  const change = (part: Partial<Wind>) => changeSetup({ wind: { ...wind, ...part } })
  return (
    <Section
      title="Wind"
      summary={
        wind.speedMs === 0
          ? 'calm'
          : `${formatSpeed(wind.speedMs, units)} from ${formatNumber(wind.fromDeg, 0)}°`
      }
    >
      <div class="fields">
        <NumberField
          label="Speed"
          unit={speed.symbol}
          value={wind.speedMs / speed.metresPerSecond}
          digits={1}
          min={WIND_LIMITS.speedMs[0]}
          max={Math.floor(WIND_LIMITS.speedMs[1] / speed.metresPerSecond)}
          step={5}
          help="As forecast or measured, at the height given below."
          onChange={(value) => change({ speedMs: value * speed.metresPerSecond })}
        />
        <NumberField
          label="From"
          unit="°"
          value={wind.fromDeg}
          digits={0}
          min={0}
          max={360}
          step={10}
          help="Where it comes from, clockwise from true north."
          onChange={(fromDeg) => change({ fromDeg })}
        />
        <NumberField
          label="Forecast is for, AGL"
          unit={symbol}
          value={wind.atHeightM / metres}
          digits={0}
          min={Math.ceil(WIND_LIMITS.atHeightM[0] / metres)}
          max={Math.floor(WIND_LIMITS.atHeightM[1] / metres)}
          step={10}
          help="Height of that speed; most forecasts mean 10 m (33 ft)."
          onChange={(height) => change({ atHeightM: height * metres })}
        />
        <NumberField
          label="Growth with height"
          unit=""
          value={wind.exponent}
          digits={2}
          min={WIND_LIMITS.exponent[0]}
          max={WIND_LIMITS.exponent[1]}
          step={0.02}
          help="Exponent of the power law: 0 for none, 0.14 over open ground."
          onChange={(exponent) => change({ exponent })}
        />
      </div>
      <p class="section-note small">
        Ridges, gaps and valleys make winds of their own, stronger than any forecast.
      </p>
    </Section>
  )
}
