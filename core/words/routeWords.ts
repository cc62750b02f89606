import type { Battery, Chemistry } from '../energy/battery'
import type { Flight, Flyer } from '../energy/flight'
import type { Turns } from '../energy/turns'
import type { TurnPoint } from '../energy/wayHome'
import type { Conflict, ConflictKind, FloorKind } from '../route/corridor'
import { say, type TextKey } from './say'
import { formatDistance, formatHeight, formatNumber, formatShare, type Units } from './units'

export const CONFLICT_NAMES: Readonly<Record<ConflictKind, TextKey>> = {
  'no-height': 'common.noHeightBetweenFloor',
  'under-floor': 'common.underFloor',
  'weak-signal': 'route.tooLittleSignalHeight',
  'over-ceiling': 'route.overCeiling',
  'too-close': 'route.tooCloseGroundWire',
  'no-landing': 'route.noLandingAreaReach',
  'not-known': 'route.notKnown',
}

const FLOOR_WANTS: Readonly<Record<FloorKind, TextKey>> = {
  margin: 'route.wantedMargin',
  fresnel: 'route.fresnelClearance',
  sight: 'common.sight',
}

/** By how much, in words. */
export function conflictWords(
  { kind, worst }: Conflict,
  floorKind: FloorKind,
  units: Units,
): string {
  if (kind === 'not-known') return say('route.noTerrainDataThere')
  if (kind === 'no-landing') return say('route.thosePlanChargeWind')
  if (kind === 'weak-signal')
    return say('route.dbShortWantedMargin', { worst: formatNumber(worst, 1) })
  if (worst === Infinity) return say('route.noHeightHas', { floor: say(FLOOR_WANTS[floorKind]) })
  const metres = formatHeight(worst, units, worst < 10 ? 1 : 0)
  return kind === 'no-height'
    ? say('route.floorOverCeiling', { metres })
    : say('route.by', { metres })
}

/** Where along the route, and how long. */
export function conflictPlaceWords({ fromM, toM }: Conflict, label: string, units: Units): string {
  const from = formatDistance(fromM, units)
  // A stretch of one sample has no length.
  if (toM - fromM < 1) return say('route.conflictSpot', { from, label })
  const to = formatDistance(toM, units)
  return say('route.conflictPlace', { from, to, length: formatDistance(toM - fromM, units), label })
}

/** A duration as minutes and seconds. */
export function formatDuration(seconds: number): string {
  if (!Number.isFinite(seconds)) return '–'
  const whole = Math.round(seconds)
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')} min`
}

export function formatMah(mah: number): string {
  return Number.isFinite(mah) ? `${formatNumber(mah, 0)} mAh` : '–'
}

/** A charge with its scatter, where a flight has shown one. */
export function mahWithSpread(mah: number, spreadShare: number | null): string {
  if (spreadShare === null || !Number.isFinite(mah)) return formatMah(mah)
  return `${formatMah(mah)} ± ${formatNumber(mah * spreadShare, 0)}`
}

/** How grave a verdict is. */
export type VerdictKind = 'clear' | 'sight' | 'blocked'

/** What a flight ends like: the gravest thing first. */
export function verdictOn(
  {
    flight,
    flyer,
    turns,
  }: { readonly flight: Flight; readonly flyer: Flyer; readonly turns: Turns | null },
  takenMah: number,
): [kind: VerdictKind, words: string] {
  const { usableMah, budgetMah } = flyer.pack
  const left = formatShare(1 - takenMah / usableMah)
  const where = flight.landed ? say('route.home') : say('common.end')
  if (takenMah > usableMah) return ['blocked', say('route.batteryEmptyBeforeEnd')]
  if (flight.sagSample !== null) return ['blocked', say('route.packFailsWay')]
  if (takenMah > budgetMah) return ['blocked', say('route.belowReserveLeft', { where, left })]
  const isFar = turns && !turns.retraced?.isEnd && !turns.straight?.isEnd
  if (!flight.landed && isFar) return ['sight', say('route.leftButNotHome', { where, left })]
  return ['clear', say('route.left', { where, left })]
}

/** Where to turn; a dash of dots while it is worked out. */
export function turnWords(turn: TurnPoint | null | undefined, units: Units): string {
  if (turn === undefined) return '…'
  if (turn === null) return say('route.neverReachHome')
  if (turn.isEnd) return say('route.homeReachAllWay')
  return `${formatMah(turn.takenMah)}, ${formatDuration(turn.timeS)}, ${formatDistance(turn.distanceM, units)}`
}

const CHEMISTRY_NAMES: Readonly<Record<Chemistry, TextKey>> = {
  lipo: 'route.lipo',
  liion: 'route.liIon',
}

/** A pack by what it is, whatever it is called. */
export function batteryWords({ cells, capacityMah, chemistry, temperatureC }: Battery): string {
  return say('route.battery', {
    cells,
    chemistry: say(CHEMISTRY_NAMES[chemistry]),
    capacity: formatMah(capacityMah),
    temperatureC: formatNumber(temperatureC, 0),
  })
}
