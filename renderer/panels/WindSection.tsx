import { WIND_LIMITS, type Wind } from '../../core/energy/wind'
import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { formatNumber, formatSpeed, HEIGHT_UNIT, SPEED_UNIT } from '../../core/words/units'
import { NumberField } from './NumberField'
import { say } from '../../core/words/say'
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
      title={say('common.wind')}
      summary={
        wind.speedMs === 0
          ? say('common.calm')
          : say('common.from', {
              speedMs: formatSpeed(wind.speedMs, units),
              fromDeg: formatNumber(wind.fromDeg, 0),
            })
      }
    >
      <div class="fields">
        <NumberField
          label={say('wind.speed')}
          unit={speed.symbol}
          value={wind.speedMs / speed.metresPerSecond}
          digits={1}
          min={WIND_LIMITS.speedMs[0]}
          max={Math.floor(WIND_LIMITS.speedMs[1] / speed.metresPerSecond)}
          step={5}
          help={say('wind.forecastMeasuredHeightGiven')}
          onChange={(value) => change({ speedMs: value * speed.metresPerSecond })}
        />
        <NumberField
          label={say('wind.from')}
          unit="°"
          value={wind.fromDeg}
          digits={0}
          min={0}
          max={360}
          step={10}
          help={say('wind.whereComesClockwiseTrue')}
          onChange={(fromDeg) => change({ fromDeg })}
        />
        <NumberField
          label={say('wind.forecastAgl')}
          unit={symbol}
          value={wind.atHeightM / metres}
          digits={0}
          min={Math.ceil(WIND_LIMITS.atHeightM[0] / metres)}
          max={Math.floor(WIND_LIMITS.atHeightM[1] / metres)}
          step={10}
          help={say('wind.heightSpeedMostForecasts')}
          onChange={(height) => change({ atHeightM: height * metres })}
        />
        <NumberField
          label={say('wind.growthHeight')}
          unit=""
          value={wind.exponent}
          digits={2}
          min={WIND_LIMITS.exponent[0]}
          max={WIND_LIMITS.exponent[1]}
          step={0.02}
          help={say('wind.exponentHelp')}
          onChange={(exponent) => change({ exponent })}
        />
      </div>
      <p class="section-note small">{say('wind.ridgesGapsValleysMake')}</p>
    </Section>
  )
}
