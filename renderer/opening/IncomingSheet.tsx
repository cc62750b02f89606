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
import { ModalSheet } from './ModalSheet'

/** What another program's file holds, and what of it becomes part of the plan. */
export function IncomingSheet() {
  return incoming.value && <Sheet />
}

const WORDS: Readonly<Record<Use, string>> = {
  nothing: 'leave out',
  route: 'the route',
  waypoint: 'a waypoint',
  'landing area': 'a landing area',
  'keep out': 'ground kept out of',
}

function Sheet() {
  const { name, track, offers, remarks } = incoming.value!
  const close = () => (incoming.value = null)
  const takes = offers.filter(({ use }) => use !== 'nothing').length
  const replaces =
    setup.value.route.waypoints.length > 0 && offers.some(({ use }) => use === 'route')
  return (
    <ModalSheet
      title="Bring into the plan"
      about={name}
      onClose={close}
      foot={
        <>
          <button type="button" onClick={close}>
            Cancel
          </button>
          {track && (
            <button
              type="button"
              title="A recorded track with times: compare it with the plan instead"
              onClick={() => {
                close()
                void lookAtLog(track)
              }}
            >
              It was flown: compare
            </button>
          )}
          <button
            type="button"
            class="primary"
            autofocus
            disabled={takes === 0}
            onClick={() => void takeIncoming()}
          >
            Take over
          </button>
        </>
      }
    >
      <div class="sheet-text" tabIndex={0} aria-label="Contents of the file">
        <table class="incoming">
          <thead>
            <tr>
              <th scope="col">Name</th>
              <th scope="col">Kind</th>
              <th scope="col">Begins at</th>
              <th scope="col">Heights</th>
              <th scope="col">Take as</th>
            </tr>
          </thead>
          <tbody>
            {offers.slice(0, MOST_OFFERS).map((offer, i) => (
              <Row key={i} offer={offer} index={i} />
            ))}
          </tbody>
        </table>
        {offers.length > MOST_OFFERS && (
          <p>{formatNumber(offers.length - MOST_OFFERS, 0)} more are not listed and left out.</p>
        )}
        {remarks.map((remark) => (
          <p key={remark}>{remark}</p>
        ))}
        {replaces && <p>The route at hand is replaced; Undo brings it back.</p>}
      </div>
    </ModalSheet>
  )
}

function Row({ offer, index }: { offer: Offer; index: number }) {
  const { feature, use, offTerrain } = offer
  const { kind, name, spots } = feature
  const label = name || `${kind} ${index + 1}`
  const isWhollyOff = offTerrain === spots.length
  const isHigh = spots.some(({ amslM }) => amslM !== null)
  return (
    <tr>
      <th scope="row">{label}</th>
      <td>
        {kind}
        {spots.length > 1 && `, ${formatNumber(spots.length, 0)} positions`}
        {kind === 'line' &&
          spots.length > MOST_WAYPOINTS &&
          `, thinned to ${MOST_WAYPOINTS} at most`}
      </td>
      <td>{formatPosition(spots[0])}</td>
      <td>{isHigh ? 'above sea level' : 'none'}</td>
      <td>
        {offTerrain > 0 ? (
          isWhollyOff ? (
            'lies off the terrain'
          ) : (
            `${offTerrain} positions lie off the terrain`
          )
        ) : (
          <select
            aria-label={`Take ${label} as`}
            value={use}
            onChange={({ currentTarget }) => {
              const next = USES[kind].find((one) => one === currentTarget.value)
              if (next) useAs(index, next)
            }}
          >
            {USES[kind].map((one) => (
              <option key={one} value={one}>
                {WORDS[one]}
              </option>
            ))}
          </select>
        )}
      </td>
    </tr>
  )
}
