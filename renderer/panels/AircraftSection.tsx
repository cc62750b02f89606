import { AIRCRAFT_LIMITS, TYPICAL_AIRCRAFT, type Aircraft } from '../../core/energy/aircraft'
import { aircraftPresets, forgetAircraft, keepAircraft, ownAircraft } from '../state/aircraft'
import { flyer } from '../state/route'
import { changeSetup, setup } from '../state/setup'
import { preferences } from '../state/preferences'
import { formatNumber, HEIGHT_UNIT, SPEED_UNIT, formatShare } from '../../core/words/units'
import { NumberField } from './NumberField'
import { Section } from './Section'

const MOST_POINTS = 6

/** What the aircraft draws, level and climbing. */
export function AircraftSection() {
  const { aircraft, airspeedMs } = setup.value
  // What was changed is typical no more.
  const name = aircraft.name === TYPICAL_AIRCRAFT.name ? 'Own' : aircraft.name
  const change = (part: Partial<Aircraft>) =>
    changeSetup({ aircraft: { ...aircraft, name, ...part } })
  const { symbol, metres } = HEIGHT_UNIT[preferences.value.units]
  const speed = SPEED_UNIT[preferences.value.units]
  const presets = aircraftPresets()
  const isOwn = ownAircraft.value.some(({ name }) => name === aircraft.name)
  const fastest = aircraft.cruise[aircraft.cruise.length - 1].airspeedMs
  return (
    <Section
      title="Aircraft"
      summary={`${formatNumber(aircraft.massKg, 2)} kg, ${aircraft.cruise.length} cruise ${aircraft.cruise.length === 1 ? 'point' : 'points'}`}
    >
      <div class="field field-wide first">
        <label for="aircraft-preset">Begin with</label>
        <select
          id="aircraft-preset"
          value={presets.some(({ name }) => name === aircraft.name) ? aircraft.name : ''}
          onChange={({ currentTarget }) => {
            const preset = presets.find(({ name }) => name === currentTarget.value)
            if (preset) changeSetup({ aircraft: preset })
          }}
        >
          <option value="" disabled>
            Changed
          </option>
          {presets.map(({ name }) => (
            <option key={name} value={name}>
              {name}
            </option>
          ))}
        </select>
      </div>
      {aircraft.currentSpreadShare !== null && (
        <p class="section-note small">
          Minutes of the flight scattered by {formatShare(aircraft.currentSpreadShare)} around these
          currents.
        </p>
      )}
      <p class="section-note small">
        Currents at 3.7 V a cell, as a log shows them with the pack half down.
        {aircraft.name === TYPICAL_AIRCRAFT.name && ' Typical values: put in your own.'}
      </p>
      <div class="fields">
        <NumberField
          label="Mass, ready to fly"
          unit="kg"
          value={aircraft.massKg}
          digits={2}
          min={AIRCRAFT_LIMITS.massKg[0]}
          max={AIRCRAFT_LIMITS.massKg[1]}
          step={0.05}
          help="With battery and camera; it decides what a climb costs."
          onChange={(massKg) => change({ massKg })}
        />
        <NumberField
          label="Hover current"
          unit="A"
          value={aircraft.hoverCurrentA}
          digits={1}
          min={AIRCRAFT_LIMITS.currentA[0]}
          max={AIRCRAFT_LIMITS.currentA[1]}
          step={0.5}
          help="Staying over one place in still air."
          onChange={(hoverCurrentA) => change({ hoverCurrentA })}
        />
        <NumberField
          label="Measured at, AMSL"
          unit={symbol}
          value={aircraft.measuredAtM / metres}
          digits={0}
          min={Math.ceil(AIRCRAFT_LIMITS.measuredAtM[0] / metres)}
          max={Math.floor(AIRCRAFT_LIMITS.measuredAtM[1] / metres)}
          step={100}
          help="Height at which these currents were seen: in thinner air the same flight takes more."
          onChange={(height) => change({ measuredAtM: height * metres })}
        />
      </div>
      <h3>Level flight</h3>
      {aircraft.cruise.map((point, i) => (
        <div class="cruise-point" key={i}>
          <NumberField
            label={`Airspeed ${i + 1}`}
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
            label={`Current at airspeed ${i + 1}`}
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
            aria-label={`Remove airspeed ${i + 1}`}
            title="Remove"
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
          title="With several, each leg is flown at the airspeed of least charge per kilometre in its wind"
          onClick={() => change({ cruise: [...aircraft.cruise, faster(aircraft)] })}
        >
          Another airspeed
        </button>
      </div>
      <div class="fields spaced">
        <NumberField
          label="Climb efficiency"
          unit="%"
          value={aircraft.climbEfficiency * 100}
          digits={0}
          min={AIRCRAFT_LIMITS.climbEfficiency[0] * 100}
          max={AIRCRAFT_LIMITS.climbEfficiency[1] * 100}
          step={5}
          help="Share of a climb's electric energy that becomes height; a descent gives nothing back."
          onChange={(percent) => change({ climbEfficiency: percent / 100 })}
        />
        <NumberField
          label="Climb speed"
          unit="m/s"
          value={aircraft.climbMs}
          digits={1}
          min={AIRCRAFT_LIMITS.verticalMs[0]}
          max={AIRCRAFT_LIMITS.verticalMs[1]}
          step={0.5}
          help="Straight up, and the most on steep legs."
          onChange={(climbMs) => change({ climbMs })}
        />
        <NumberField
          label="Descent speed"
          unit="m/s"
          value={aircraft.descentMs}
          digits={1}
          min={AIRCRAFT_LIMITS.verticalMs[0]}
          max={AIRCRAFT_LIMITS.verticalMs[1]}
          step={0.5}
          help="Straight down, and the most on steep legs."
          onChange={(descentMs) => change({ descentMs })}
        />
        {airspeedMs !== null && (
          <NumberField
            label="Airspeed of the route"
            unit={speed.symbol}
            value={airspeedMs / speed.metresPerSecond}
            digits={1}
            min={2}
            max={fastest / speed.metresPerSecond}
            step={1}
            help="Flown on every leg, whatever the wind."
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
        Each leg at its airspeed of least charge
      </label>
      <div class="row">
        <input
          type="text"
          class="link-name"
          aria-label="Name of the aircraft"
          value={aircraft.name}
          onChange={({ currentTarget }) =>
            change({ name: currentTarget.value.trim() || aircraft.name })
          }
        />
        <button
          type="button"
          title="Offer it under this name"
          onClick={() => keepAircraft(aircraft)}
        >
          Keep
        </button>
        {isOwn && (
          <button type="button" onClick={() => forgetAircraft(aircraft.name)}>
            Forget
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
