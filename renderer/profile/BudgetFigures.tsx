import type { BudgetItem } from '../../core/radio/budget'
import { holdingShare } from '../../core/radio/holding'
import { mwFromDbm } from '../../core/radio/link'
import { changeLink, type LinkName } from '../state/links'
import { budgets, helps } from '../state/margin'
import { nearbyVerdict } from '../state/nearby'
import { preferences } from '../state/preferences'
import { setup } from '../state/setup'
import { HIGHEST_HELP_M } from '../../core/radio/whatIf'
import { say } from '../../core/words/say'
import { formatHeight, formatNumber, formatSigned, formatShare } from '../../core/words/units'

/** No transmitter for this is stronger, milliwatts. */
const MOST_MW = 10_000

/** The budget of a link toward the target, step by step, and what would help. */
export function BudgetFigures({ name }: { name: LinkName }) {
  const link = setup.value[name]
  const budget = budgets[name].value
  if (!budget) {
    return <p class="section-note">{say('budgetFigures.notKnownTerrainData')}</p>
  }
  const { items, powerDbm, receivedDbm, marginDb, branch, eirpDbm } = budget
  const kind = marginDb >= link.fadeMarginDb ? 'clear' : marginDb >= 0 ? 'sight' : 'blocked'
  const steps = waterfall(powerDbm, items, link.sensitivityDbm)
  return (
    <>
      <p class={`verdict verdict-${kind}`} role="status">
        {say('budgetFigures.margin', { marginDb: formatSigned(marginDb) })}{' '}
        {link.spreadDb !== null && `± ${formatNumber(link.spreadDb, 1)} `}dB
        <span class="verdict-note">
          {' '}
          {say('budgetFigures.wantedDb', { fadeMarginDb: formatNumber(link.fadeMarginDb, 0) })}
        </span>
      </p>
      {link.spreadDb !== null && (
        <p class="section-note small">
          {say('budgetFigures.scatterFlightHoldsMoments', {
            marginDb: formatShare(holdingShare(marginDb, link.spreadDb)),
          })}
        </p>
      )}
      <table class="budget">
        <tbody>
          <tr class="budget-sum">
            <th scope="row">{say('common.transmitter')}</th>
            <td>{formatNumber(powerDbm, 1)} dBm</td>
            <td />
          </tr>
          {steps
            .filter(({ db }) => Math.abs(db) >= 0.05)
            .map(({ label, db, left, width }) => (
              <tr key={label}>
                <th scope="row">
                  {say(label)}
                  {label === 'common.groundAntenna' && link.branches.length > 1 && ` ${branch + 1}`}
                </th>
                <td>{formatSigned(db)} dB</td>
                <td>
                  <span
                    class={db < 0 ? 'bar bar-loss' : 'bar'}
                    style={{ marginLeft: `${left}%`, width: `${width}%` }}
                  />
                </td>
              </tr>
            ))}
          <tr class="budget-sum">
            <th scope="row">{say('common.received')}</th>
            <td>{formatNumber(receivedDbm, 1)} dBm</td>
            <td />
          </tr>
          <tr>
            <th scope="row">{say('common.sensitivity')}</th>
            <td>{formatNumber(link.sensitivityDbm, 1)} dBm</td>
            <td />
          </tr>
        </tbody>
      </table>
      {name === 'video' && nearbyVerdict.value.isHarmful && (
        <p class="caution-note">
          {say('budgetFigures.yourOwnControlTransmitter', {
            separationNeededM: formatHeight(
              nearbyVerdict.value.separationNeededM,
              preferences.value.units,
              1,
            ),
          })}
        </p>
      )}
      <Help name={name} />
      <p class="section-note small">
        {say('budgetFigures.eirpDbmMwNational', {
          eirpDbm: formatNumber(eirpDbm, 1),
          eirpDbm2: formatNumber(mwFromDbm(eirpDbm), 0),
        })}
      </p>
    </>
  )
}

/** Each step from level to level, as a bar in percent of the range that is met. */
function waterfall(powerDbm: number, items: readonly BudgetItem[], sensitivityDbm: number) {
  const levels = [powerDbm]
  for (const { db } of items) levels.push(levels[levels.length - 1] + db)
  const lowest = Math.min(sensitivityDbm, ...levels)
  const range = Math.max(...levels) - lowest
  return items.map((item, i) => ({
    ...item,
    left: (100 * (Math.min(levels[i], levels[i + 1]) - lowest)) / range,
    width: Math.max(1.5, (100 * Math.abs(item.db)) / range),
  }))
}

function Help({ name }: { name: LinkName }) {
  const help = helps[name].value
  const { units } = preferences.value
  const link = setup.value[name]
  if (!help) return null
  const { missingDb, powerMw, heightM, turn } = help
  return (
    <div class="help">
      <h4>{say('budgetFigures.whatWouldHelp')}</h4>
      <ul>
        <li>
          {heightM === null
            ? say('budgetFigures.noHeight', { highest: formatHeight(HIGHEST_HELP_M, units) })
            : say('budgetFigures.flyingAboveGroundHigher', {
                heightM: formatHeight(heightM, units),
              })}
        </li>
        <li>
          {say('budgetFigures.dbMorePowerGain', { missingDb: formatNumber(missingDb, 1) })}
          {powerMw <= MOST_MW
            ? `: ${formatNumber(powerMw, 0)} mW`
            : say('budgetFigures.moreThanAnySuch')}
        </li>
        {turn && (
          <li>
            {say('budgetFigures.groundAntennaTiltMargin', {
              help: turn.marginDb >= link.fadeMarginDb ? 'enough' : 'some',
              branch: turn.branch + 1,
              turnDeg: formatNumber(turn.turnDeg, 0),
              azimuthDeg: formatNumber(turn.azimuthDeg, 0),
              tiltDeg: formatNumber(turn.tiltDeg, 0),
              marginDb: formatSigned(turn.marginDb),
            })}{' '}
            <button
              type="button"
              class="link"
              onClick={() =>
                changeLink(name, {
                  branches: link.branches.with(turn.branch, {
                    ...link.branches[turn.branch],
                    aim: {
                      azimuthDeg: Math.round(turn.azimuthDeg),
                      tiltDeg: Math.round(turn.tiltDeg),
                    },
                  }),
                })
              }
            >
              {say('budgetFigures.do')}
            </button>
          </li>
        )}
      </ul>
    </div>
  )
}
