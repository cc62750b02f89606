import { AIRCRAFT_LIMITS, TYPICAL_AIRCRAFT, type Aircraft } from '../../core/energy/aircraft'
import { aircraftPresets, forgetAircraft, keepAircraft, ownAircraft } from '../state/aircraft'
import { flyer } from '../state/route'
import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { formatNumber, HEIGHT_UNIT, SPEED_UNIT, formatShare } from '../../core/words/units'
import { NumberField } from './NumberField'
import { say } from '../../core/words/say'
import { spokenName } from '../../core/words/typicalNames'
import { Section } from './Section'

const MOST_POINTS = 6

/** What the aircraft draws, level and climbing. */
export function AircraftSection() {
  const { aircraft, airspeedMs } = setup.value
  // What was changed is typical no more.
  const name = aircraft.name === TYPICAL_AIRCRAFT.name ? say('common.own') : aircraft.name
  const change = (part: Partial<Aircraft>) =>
    changeSetup({ aircraft: { ...aircraft, name, ...part } })
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const speed = SPEED_UNIT[preferences.value.units]
  const presets = aircraftPresets()
  const isOwn = ownAircraft.value.some(({ name }) => name === aircraft.name)
  const fastest = aircraft.cruise[aircraft.cruise.length - 1].airspeedMs
  return (
    <Section
      title={say('common.aircraft')}
      summary={say('aircraft.kgCruise', {
        massKg: formatNumber(aircraft.massKg, 2),
        cruise: aircraft.cruise.length,
      })}
    >
      <div class="field field-wide first">
        <label for="aircraft-preset">{say('common.begin')}</label>
        <select
          id="aircraft-preset"
          value={presets.some(({ name }) => name === aircraft.name) ? aircraft.name : ''}
          onChange={({ currentTarget }) => {
            const preset = presets.find(({ name }) => name === currentTarget.value)
            if (preset) changeSetup({ aircraft: preset })
          }}
        >
          <option value="" disabled>
            {say('common.changed')}
          </option>
          {presets.map(({ name }) => (
            <option key={name} value={name}>
              {spokenName(name)}
            </option>
          ))}
        </select>
      </div>
      {aircraft.currentSpreadShare !== null && (
        <p class="section-note small">
          {say('aircraft.minutesFlightScatteredAround', {
            currentSpreadShare: formatShare(aircraft.currentSpreadShare),
          })}
        </p>
      )}
      <p class="section-note small">
        {say('aircraft.currents37V')}
        {aircraft.name === TYPICAL_AIRCRAFT.name && say('aircraft.typicalValuesPutYour')}
      </p>
      <div class="fields">
        <NumberField
          label={say('aircraft.massReadyFly')}
          unit="kg"
          value={aircraft.massKg}
          digits={2}
          min={AIRCRAFT_LIMITS.massKg[0]}
          max={AIRCRAFT_LIMITS.massKg[1]}
          step={0.05}
          help={say('aircraft.batteryCameraDecidesWhat')}
          onChange={(massKg) => change({ massKg })}
        />
        <NumberField
          label={say('aircraft.hoverCurrentField')}
          unit="A"
          value={aircraft.hoverCurrentA}
          digits={1}
          min={AIRCRAFT_LIMITS.currentA[0]}
          max={AIRCRAFT_LIMITS.currentA[1]}
          step={0.5}
          help={say('aircraft.stayingOverOnePlace')}
          onChange={(hoverCurrentA) => change({ hoverCurrentA })}
        />
        <NumberField
          label={say('aircraft.measuredAmsl')}
          unit={symbol}
          value={aircraft.measuredAtM / metres}
          digits={0}
          min={Math.ceil(AIRCRAFT_LIMITS.measuredAtM[0] / metres)}
          max={Math.floor(AIRCRAFT_LIMITS.measuredAtM[1] / metres)}
          step={100}
          help={say('aircraft.heightWhichTheseCurrents')}
          onChange={(height) => change({ measuredAtM: height * metres })}
        />
      </div>
      <h3>{say('aircraft.levelFlight')}</h3>
      {aircraft.cruise.map((point, i) => (
        <div class="cruise-point" key={i}>
          <NumberField
            label={say('aircraft.airspeed', { i: i + 1 })}
            help={say('aircraft.airspeedHelp')}
            isLabelHidden
            unit={speed.symbol}
            value={point.airspeedMs / speed.metresPerSecond}
            digits={1}
            min={Math.ceil(AIRCRAFT_LIMITS.airspeedMs[0] / speed.metresPerSecond)}
            max={Math.floor(AIRCRAFT_LIMITS.airspeedMs[1] / speed.metresPerSecond)}
            step={1}
            onChange={(value) =>
              change({
                cruise: sorted(
                  aircraft.cruise.with(i, { ...point, airspeedMs: value * speed.metresPerSecond }),
                ),
              })
            }
          />
          <NumberField
            label={say('aircraft.currentAirspeed', { i: i + 1 })}
            help={say('aircraft.currentHelp')}
            isLabelHidden
            unit="A"
            value={point.currentA}
            digits={1}
            min={AIRCRAFT_LIMITS.currentA[0]}
            max={AIRCRAFT_LIMITS.currentA[1]}
            step={0.5}
            onChange={(currentA) =>
              change({ cruise: aircraft.cruise.with(i, { ...point, currentA }) })
            }
          />
          <button
            type="button"
            aria-label={say('aircraft.removeAirspeed', { i: i + 1 })}
            title={say('common.remove')}
            disabled={aircraft.cruise.length === 1}
            onClick={() => change({ cruise: aircraft.cruise.toSpliced(i, 1) })}
          >
            ×
          </button>
        </div>
      ))}
      <div class="row">
        <button
          type="button"
          disabled={aircraft.cruise.length >= MOST_POINTS}
          title={say('aircraft.severalEachLegFlown')}
          onClick={() => change({ cruise: [...aircraft.cruise, faster(aircraft)] })}
        >
          {say('aircraft.anotherAirspeed')}
        </button>
      </div>
      <div class="fields spaced">
        <NumberField
          label={say('aircraft.climbEfficiencyField')}
          unit="%"
          value={aircraft.climbEfficiency * 100}
          digits={0}
          min={AIRCRAFT_LIMITS.climbEfficiency[0] * 100}
          max={AIRCRAFT_LIMITS.climbEfficiency[1] * 100}
          step={5}
          help={say('aircraft.shareClimbsElectricEnergy')}
          onChange={(percent) => change({ climbEfficiency: percent / 100 })}
        />
        <NumberField
          label={say('aircraft.climbSpeed')}
          unit="m/s"
          value={aircraft.climbMs}
          digits={1}
          min={AIRCRAFT_LIMITS.verticalMs[0]}
          max={AIRCRAFT_LIMITS.verticalMs[1]}
          step={0.5}
          help={say('aircraft.straightUpMostSteep')}
          onChange={(climbMs) => change({ climbMs })}
        />
        <NumberField
          label={say('aircraft.descentSpeed')}
          unit="m/s"
          value={aircraft.descentMs}
          digits={1}
          min={AIRCRAFT_LIMITS.verticalMs[0]}
          max={AIRCRAFT_LIMITS.verticalMs[1]}
          step={0.5}
          help={say('aircraft.straightDownMostSteep')}
          onChange={(descentMs) => change({ descentMs })}
        />
        {airspeedMs !== null && (
          <NumberField
            label={say('aircraft.airspeedRoute')}
            unit={speed.symbol}
            value={airspeedMs / speed.metresPerSecond}
            digits={1}
            min={2}
            max={fastest / speed.metresPerSecond}
            step={1}
            help={say('aircraft.flownEveryLegWhatever')}
            onChange={(value) => changeSetup({ airspeedMs: value * speed.metresPerSecond })}
          />
        )}
      </div>
      <label class="check">
        <input
          type="checkbox"
          checked={airspeedMs === null}
          onChange={(event) =>
            changeSetup({
              airspeedMs: event.currentTarget.checked ? null : aircraft.cruise[0].airspeedMs,
            })
          }
        />
        {say('aircraft.eachLegAirspeedLeast')}
      </label>
      <div class="row">
        <input
          type="text"
          class="link-name"
          aria-label={say('aircraft.nameAircraft')}
          value={spokenName(aircraft.name)}
          onChange={({ currentTarget }) =>
            change({ name: currentTarget.value.trim() || aircraft.name })
          }
        />
        <button
          type="button"
          title={say('common.offerUnderName')}
          onClick={() => keepAircraft(aircraft)}
        >
          {say('common.keep')}
        </button>
        {isOwn && (
          <button type="button" onClick={() => forgetAircraft(aircraft.name)}>
            {say('common.forget')}
          </button>
        )}
      </div>
      {typeof flyer.value === 'string' && <p class="caution-note">{flyer.value}</p>}
    </Section>
  )
}

const sorted = (points: Aircraft['cruise']) =>
  [...points].sort((a, b) => a.airspeedMs - b.airspeedMs)

/** A point beyond the fastest, drag growing with the cube of the airspeed. */
function faster({ cruise }: Aircraft) {
  const { airspeedMs, currentA } = cruise[cruise.length - 1]
  return {
    airspeedMs: Math.min(AIRCRAFT_LIMITS.airspeedMs[1], airspeedMs * 1.25),
    currentA: Math.round(currentA * 1.6 * 10) / 10,
  }
}
