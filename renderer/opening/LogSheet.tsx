import {
  LOG_COLUMNS,
  SIGNAL_UNITS,
  TIME_UNITS,
  type LogColumn,
  type LogMapping,
  type SignalUnit,
  type TimeUnit,
} from '../../core/log/logTable'
import { LOG_HEIGHTS, type LogHeight } from '../../core/log/flightLog'
import { whenWords } from '../../core/words/moment'
import { formatDuration, formatMah } from '../../core/words/routeWords'
import { METRES_PER_FOOT } from '../../core/picture/relief'
import { formatHeight, formatNumber } from '../../core/words/units'
import { NumberField } from '../panels/NumberField'
import {
  chooseFlight,
  closeLog,
  mapLog,
  takeLog,
  waitingLog,
  type WaitingLog,
} from '../state/flown'
import { preferences } from '../state/preferences'
import type { FlightSummary, OpenedTable } from '../workers/log.worker'
import { say, type TextKey } from '../../core/words/say'
import { ModalSheet } from './ModalSheet'

/** A flight log before it is taken over: which column says what, and what comes of it. */
export function LogSheet() {
  return waitingLog.value && <Sheet waiting={waitingLog.value} />
}

function Sheet({ waiting }: { waiting: WaitingLog }) {
  const { name, table, mapping, read, flight } = waiting
  const isReady = read !== null && typeof read !== 'string'
  return (
    <ModalSheet
      title={say('log.flightLog')}
      about={name}
      onClose={closeLog}
      foot={
        <>
          <button type="button" onClick={closeLog}>
            {say('common.cancel')}
          </button>
          <button
            type="button"
            class="primary"
            autofocus
            disabled={!isReady}
            onClick={() => void takeLog()}
          >
            {say('log.comparePlan')}
          </button>
        </>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label={say('log.contentsLog')}>
        {table && mapping && (
          <>
            <Lines table={table} mapping={mapping} />
            <Columns table={table} mapping={mapping} />
          </>
        )}
        {read === null && <p>{say('log.reading')}</p>}
        {typeof read === 'string' && <p class="sheet-problem">{read}</p>}
        {isReady && (
          <>
            <h3>{read.flights.length === 1 ? say('log.flight') : say('log.flights')}</h3>
            <ul class="log-flights">
              {read.flights.map((one, i) => (
                <li key={i}>
                  <label class="check">
                    <input
                      type="radio"
                      name="log-flight"
                      checked={i === flight}
                      onChange={() => chooseFlight(i)}
                    />
                    {flightWords(one)}
                  </label>
                </li>
              ))}
            </ul>
            {read.remarks.map((remark) => (
              <p key={remark}>{remark}</p>
            ))}
          </>
        )}
      </div>
    </ModalSheet>
  )
}

function flightWords({
  startedAtMs,
  durationS,
  entries,
  signalDbm,
  heightM,
  usedMah,
}: FlightSummary) {
  const { units } = preferences.value
  const range = ([low, high]: readonly [number, number], digits: number) =>
    say('log.to', { low: formatNumber(low, digits), high: formatNumber(high, digits) })
  return [
    startedAtMs === null ? '' : whenWords(new Date(startedAtMs)),
    formatDuration(durationS),
    say('log.moments', { entries }),
    heightM
      ? say('log.heights', {
          heightM: formatHeight(heightM[0], units),
          heightM2: formatHeight(heightM[1], units),
        })
      : say('log.noHeights'),
    signalDbm ? say('log.signalDbm', { signalDbm: range(signalDbm, 0) }) : say('log.noSignal'),
    usedMah === null ? say('log.noCharge') : formatMah(usedMah),
  ]
    .filter((words) => words !== '')
    .join(', ')
}

/** The first lines of the table; columns that are used stand out. */
function Lines({
  table: { heads, rows, lines },
  mapping,
}: {
  table: OpenedTable
  mapping: LogMapping
}) {
  const used = new Set(Object.values(mapping.columns))
  return (
    <>
      <div class="log-lines">
        <table>
          <thead>
            <tr>
              {heads.map((head, i) => (
                <th scope="col" key={i} class={used.has(i) ? 'used' : ''}>
                  {head || say('log.column', { i: i + 1 })}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {rows.map((row, i) => (
              <tr key={i}>
                {heads.map((_, k) => (
                  <td key={k} class={used.has(k) ? 'used' : ''}>
                    {row[k]}
                  </td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <p>{say('log.linesChoiceColumnsRemembered', { lines })}</p>
    </>
  )
}

const COLUMN_NAMES: Readonly<Record<LogColumn, TextKey>> = {
  time: 'common.time',
  lat: 'common.latitude',
  lon: 'common.longitude',
  height: 'common.height',
  signal: 'common.signal',
  mah: 'log.chargeTaken',
  volts: 'log.voltage',
  amps: 'log.current',
}
const TIME_NAMES: Readonly<Record<TimeUnit, TextKey>> = {
  s: 'log.secondsTimesDay',
  ms: 'log.milliseconds',
  us: 'log.microseconds',
}
const HEIGHT_NAMES: Readonly<Record<LogHeight, TextKey>> = {
  sea: 'common.aboveSeaLevel',
  start: 'log.aboveStart',
}
const SIGNAL_NAMES: Readonly<Record<SignalUnit, TextKey>> = {
  dbm: 'log.dbm',
  'unsigned dbm': 'common.dbmWithoutMinus',
  percent: 'log.percent',
}

/** Which column says what, and in which unit. */
function Columns({ table: { heads }, mapping }: { table: OpenedTable; mapping: LogMapping }) {
  const { columns } = mapping
  const choose = (column: LogColumn, at: number | null) =>
    void mapLog({ columns: { ...columns, [column]: at } })
  return (
    <div class="log-columns">
      {LOG_COLUMNS.map((column) => (
        <div class="field" key={column}>
          <label for={`log-${column}`}>{say(COLUMN_NAMES[column])}</label>
          <select
            id={`log-${column}`}
            value={columns[column] ?? -1}
            onChange={({ currentTarget }) => {
              const at = Number(currentTarget.value)
              choose(column, at < 0 ? null : at)
            }}
          >
            <option value={-1}>{say('common.none')}</option>
            {heads.map((head, i) => (
              <option key={i} value={i}>
                {head || say('log.column', { i: i + 1 })}
              </option>
            ))}
          </select>
        </div>
      ))}
      <Choice
        id="log-time-unit"
        label={say('log.times')}
        value={mapping.timeUnit}
        names={TIME_NAMES}
        values={TIME_UNITS}
        onChange={(timeUnit) => void mapLog({ timeUnit })}
      />
      {columns.height !== null && (
        <>
          <Choice
            id="log-height-over"
            label={say('log.heightsOver')}
            value={mapping.heightOver}
            names={HEIGHT_NAMES}
            values={LOG_HEIGHTS}
            onChange={(heightOver) => void mapLog({ heightOver })}
          />
          <Choice
            id="log-height-unit"
            label={say('log.heightsUnit')}
            value={mapping.heightUnitM === 1 ? 'm' : 'ft'}
            names={{ m: 'common.metres', ft: 'common.feet' }}
            values={['m', say('common.ft')] as const}
            onChange={(unit) => void mapLog({ heightUnitM: unit === 'm' ? 1 : METRES_PER_FOOT })}
          />
        </>
      )}
      {columns.signal !== null && (
        <Choice
          id="log-signal-unit"
          label={say('log.signalUnit')}
          value={mapping.signalUnit}
          names={SIGNAL_NAMES}
          values={SIGNAL_UNITS}
          onChange={(signalUnit) => void mapLog({ signalUnit })}
        />
      )}
      {columns.signal !== null && mapping.signalUnit === 'percent' && (
        <PercentFields mapping={mapping} />
      )}
    </div>
  )
}

/** Levels that the ends of a percent scale stand for. */
function PercentFields({ mapping: { percentDbm } }: { mapping: LogMapping }) {
  const [low, high] = percentDbm
  return (
    <>
      <NumberField
        label={say('log.percentLow')}
        unit="dBm"
        value={low}
        digits={0}
        min={-150}
        max={high - 1}
        step={1}
        help={say('log.yourReceiversManualSays')}
        onChange={(dbm) => void mapLog({ percentDbm: [dbm, high] })}
      />
      <NumberField
        label={say('log.percentHigh')}
        unit="dBm"
        value={high}
        digits={0}
        min={low + 1}
        max={10}
        step={1}
        help={say('log.yourReceiversManualSays')}
        onChange={(dbm) => void mapLog({ percentDbm: [low, dbm] })}
      />
    </>
  )
}

function Choice<T extends string>(props: {
  readonly id: string
  readonly label: string
  readonly value: T
  readonly names: Readonly<Record<T, TextKey>>
  readonly values: readonly T[]
  readonly onChange: (value: T) => void
}) {
  const { id, label, value, names, values, onChange } = props
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <select
        id={id}
        value={value}
        onChange={({ currentTarget }) => {
          const next = values.find((one) => one === currentTarget.value)
          if (next !== undefined) onChange(next)
        }}
      >
        {values.map((one) => (
          <option key={one} value={one}>
            {say(names[one])}
          </option>
        ))}
      </select>
    </div>
  )
}
