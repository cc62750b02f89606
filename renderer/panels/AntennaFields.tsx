import { useId } from 'preact/hooks'
import { wavelengthM } from '../../core/propagation/freeSpace'
import {
  beamwidthDeg,
  peakGainDbi,
  POLARISATIONS,
  type Antenna,
  type Polarisation,
} from '../../core/radio/antenna'
import { LIMITS } from '../../core/radio/link'
import { ANTENNA_NAMES, POLARISATION_NAMES } from '../../core/words/linkWords'
import { formatNumber } from '../../core/words/units'
import { say } from '../../core/words/say'
import { NumberField } from './NumberField'

interface AntennaFieldsProps {
  /** Whose antenna it is, for those who hear the labels. */
  readonly of: string
  readonly antenna: Antenna
  readonly frequencyMhz: number
  readonly onChange: (antenna: Antenna) => void
}

/** Kind, polarisation and dimensions of an antenna. */
export function AntennaFields({ of, antenna, frequencyMhz, onChange }: AntennaFieldsProps) {
  const [kindId, polarisationId] = [useId(), useId()]
  const lambda = wavelengthM(frequencyMhz)
  const { polarisation } = antenna
  const number = (
    label: string,
    unit: string,
    value: number,
    [min, max]: readonly [number, number],
    digits: number,
    help: string,
    take: (value: number) => Antenna,
  ) => (
    <NumberField
      label={label}
      unit={unit}
      value={value}
      digits={digits}
      min={min}
      max={max}
      step={10 ** -digits}
      help={help}
      onChange={(next) => onChange(take(next))}
    />
  )
  return (
    <>
      <div class="field">
        <label for={kindId}>{say('common.antenna')}</label>
        <select
          id={kindId}
          aria-label={say('antenna.antenna', { of })}
          value={antenna.kind}
          onChange={(event) =>
            onChange(ofKind(event.currentTarget.value as Antenna['kind'], polarisation, lambda))
          }
        >
          {Object.entries(ANTENNA_NAMES).map(([kind, label]) => (
            <option key={kind} value={kind}>
              {say(label)}
            </option>
          ))}
        </select>
      </div>
      <div class="field">
        <label for={polarisationId}>{say('common.polarisation')}</label>
        <select
          id={polarisationId}
          aria-label={say('antenna.polarisation', { of })}
          value={polarisation}
          onChange={(event) =>
            onChange({ ...antenna, polarisation: event.currentTarget.value as Polarisation })
          }
        >
          {POLARISATIONS.map((each) => (
            <option key={each} value={each}>
              {say(POLARISATION_NAMES[each])}
            </option>
          ))}
        </select>
      </div>
      {(antenna.kind === 'patch' || antenna.kind === 'beam') && (
        <>
          {number(
            say('antenna.gain'),
            'dBi',
            antenna.gainDbi,
            LIMITS.gainDbi,
            1,
            say('antenna.middleBeam'),
            (gainDbi) => ({ ...antenna, gainDbi }),
          )}
          {number(
            say('antenna.beamwidth'),
            '°',
            antenna.beamwidthDeg,
            LIMITS.beamwidthDeg,
            0,
            say('antenna.betweenDirectionsWhereGain'),
            (width) => ({ ...antenna, beamwidthDeg: width }),
          )}
        </>
      )}
      {antenna.kind === 'helix' && (
        <>
          {number(
            say('antenna.turns'),
            '',
            antenna.turns,
            LIMITS.turns,
            1,
            say('antenna.howManyTimesWound'),
            (turns) => ({ ...antenna, turns }),
          )}
          {number(
            say('antenna.circumference'),
            'mm',
            antenna.circumferenceM * 1000,
            [1, 5000],
            1,
            say('antenna.onceAroundCoilAbout'),
            (mm) => ({ ...antenna, circumferenceM: mm / 1000 }),
          )}
          {number(
            say('antenna.pitch'),
            'mm',
            antenna.pitchM * 1000,
            [1, 5000],
            1,
            say('antenna.turnTurnAboutQuarter'),
            (mm) => ({ ...antenna, pitchM: mm / 1000 }),
          )}
        </>
      )}
      <p class="section-note small antenna-facts">
        {formatNumber(peakGainDbi(antenna, lambda), 1)} dBi
        {antenna.kind !== 'isotropic' &&
          say('antenna.wide3Db', { antenna: formatNumber(beamwidthDeg(antenna, lambda) ?? 0, 0) })}
      </p>
    </>
  )
}

/** An antenna of a kind with dimensions to begin with. */
function ofKind(kind: Antenna['kind'], polarisation: Polarisation, lambda: number): Antenna {
  switch (kind) {
    case 'isotropic':
    case 'dipole':
      return { kind, polarisation }
    case 'patch':
      return { kind, polarisation, gainDbi: 8, beamwidthDeg: 70 }
    case 'beam':
      return { kind, polarisation, gainDbi: 12, beamwidthDeg: 40 }
    case 'helix': {
      const circular = polarisation === 'left-circular' ? polarisation : 'right-circular'
      return {
        kind,
        polarisation: circular,
        turns: 7,
        circumferenceM: Number((1.05 * lambda).toFixed(4)),
        pitchM: Number((0.24 * lambda).toFixed(4)),
      }
    }
  }
}
