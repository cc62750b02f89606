import {
  incoming,
  MOST_OFFERS,
  MOST_WAYPOINTS,
  takeIncoming,
  useAs,
  USES,
  type Offer,
  type Use,
} from '../state/exchange'
import { lookAtLog } from '../state/flown'
import { formatPosition } from '../state/positions'
import { setup } from '../state/setup'
import { formatNumber } from '../../core/words/units'
import type { MapFeature } from '../../core/exchange/features'
import { say, type TextKey } from '../../core/words/say'
import { ModalSheet } from './ModalSheet'

/** What another program's file holds, and what of it becomes part of the plan. */
export function IncomingSheet() {
  return incoming.value && <Sheet />
}

const WORDS: Readonly<Record<Use, TextKey>> = {
  nothing: 'incoming.leaveOut',
  route: 'incoming.route',
  waypoint: 'common.waypoint',
  'landing area': 'common.landingArea',
  'keep out': 'common.groundKeptOut',
}

function Sheet() {
  const { name, track, offers, remarks } = incoming.value!
  const close = () => (incoming.value = null)
  const takes = offers.filter(({ use }) => use !== 'nothing').length
  const replaces =
    setup.value.route.waypoints.length > 0 && offers.some(({ use }) => use === 'route')
  return (
    <ModalSheet
      title={say('incoming.bringIntoPlan')}
      about={name}
      onClose={close}
      foot={
        <>
          <button type="button" onClick={close}>
            {say('common.cancel')}
          </button>
          {track && (
            <button
              type="button"
              title={say('incoming.recordedTrackTimesCompare')}
              onClick={() => {
                close()
                void lookAtLog(track)
              }}
            >
              {say('incoming.flownCompare')}
            </button>
          )}
          <button
            type="button"
            class="primary"
            autofocus
            disabled={takes === 0}
            onClick={() => void takeIncoming()}
          >
            {say('incoming.takeOver')}
          </button>
        </>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label={say('incoming.contentsFile')}>
        <table class="incoming">
          <thead>
            <tr>
              <th scope="col">{say('common.name')}</th>
              <th scope="col">{say('common.kind')}</th>
              <th scope="col">{say('incoming.begins')}</th>
              <th scope="col">{say('common.heights')}</th>
              <th scope="col">{say('incoming.take')}</th>
            </tr>
          </thead>
          <tbody>
            {offers.slice(0, MOST_OFFERS).map((offer, i) => (
              <Row key={i} offer={offer} index={i} />
            ))}
          </tbody>
        </table>
        {offers.length > MOST_OFFERS && (
          <p>
            {say('incoming.moreNotListedLeft', {
              offers: formatNumber(offers.length - MOST_OFFERS, 0),
            })}
          </p>
        )}
        {remarks.map((remark) => (
          <p key={remark}>{remark}</p>
        ))}
        {replaces && <p>{say('incoming.routeHandReplacedUndo')}</p>}
      </div>
    </ModalSheet>
  )
}

const KIND_NAMES: Readonly<Record<MapFeature['kind'], TextKey>> = {
  line: 'incoming.line',
  point: 'incoming.point',
  area: 'incoming.area',
}

function Row({ offer, index }: { offer: Offer; index: number }) {
  const { feature, use, offTerrain } = offer
  const { kind, name, spots } = feature
  const kindName = say(KIND_NAMES[kind])
  const label = name || `${kindName} ${index + 1}`
  const isWhollyOff = offTerrain === spots.length
  const isHigh = spots.some(({ amslM }) => amslM !== null)
  return (
    <tr>
      <th scope="row">{label}</th>
      <td>
        {kindName}
        {spots.length > 1 && say('incoming.positions', { spots: formatNumber(spots.length, 0) })}
        {kind === 'line' &&
          spots.length > MOST_WAYPOINTS &&
          say('incoming.thinnedMost', { most: MOST_WAYPOINTS })}
      </td>
      <td>{formatPosition(spots[0])}</td>
      <td>{isHigh ? say('common.aboveSeaLevel') : say('common.none')}</td>
      <td>
        {offTerrain > 0 ? (
          isWhollyOff ? (
            say('incoming.liesOffTerrain')
          ) : (
            say('incoming.positionsLieOffTerrain', { offTerrain })
          )
        ) : (
          <select
            aria-label={say('incoming.takeNamed', { label })}
            value={use}
            onChange={({ currentTarget }) => {
              const next = USES[kind].find((one) => one === currentTarget.value)
              if (next) useAs(index, next)
            }}
          >
            {USES[kind].map((one) => (
              <option key={one} value={one}>
                {say(WORDS[one])}
              </option>
            ))}
          </select>
        )}
      </td>
    </tr>
  )
}
