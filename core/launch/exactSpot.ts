import { horizonFrom } from '../coverage/horizon'
import { prepareSweep } from '../coverage/clearHeights'
import { EARTH_RADIUS_M, type LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import type { RadioSettings } from '../propagation/path'
import { resolveEnd } from '../propagation/path'
import type { Aim } from '../radio/antenna'
import { LinkGains } from '../radio/budget'
import type { Link } from '../radio/link'
import { AirColumns } from '../route/airColumns'
import type { SeenSurface } from '../surface/surface'
import { groundAt, type GridLocator, type TerrainGrid } from '../terrain/grid'
import { bestAims, type Sighting } from './aim'
import { say } from '../words/say'
import type { Target } from './heat'

/** A spot judged path by path, with the real antennas aimed as well as can be. */
export interface ExactSpot {
  readonly at: LatLon
  readonly groundM: number
  /** Shares of the targets' weight, 0 to 1. */
  readonly sight: number
  readonly fresnel: number
  readonly margin: number
  /** Share with a height between the floor of the picture and the ceiling. */
  readonly open: number
  /** 1 for each target with the wanted margin, with a free Fresnel zone, and in sight. */
  readonly hits: {
    readonly margin: Uint8Array
    readonly fresnel: Uint8Array
    readonly sight: Uint8Array
  }
  /** Aim of every branch that gives most targets in sight the wanted margin. */
  readonly aims: readonly Aim[]
  /** The target in sight that does worst, and its margin with those aims, dB; -1 and NaN for none. */
  readonly worstTarget: number
  readonly worstDb: number
  /** Share of the sky that the skyline leaves, 0 to 1. */
  readonly skyView: number
}

export interface SpotTask {
  readonly antennaHeightM: number
  readonly radio: RadioSettings
  readonly link: Link
  readonly clearingM: number
  /** Of the corridor, above ground, metres. */
  readonly ceilingM: number
}

/** Judges a spot. Throws a PilotError where it is no place on the terrain. */
export function judgeSpot(
  terrain: TerrainGrid,
  locator: GridLocator,
  seen: SeenSurface,
  at: LatLon,
  { antennaHeightM, radio, link, clearingM, ceilingM }: SpotTask,
  targets: readonly Target[],
): ExactSpot {
  const launch = resolveEnd(terrain, locator, {
    ...at,
    label: say('exactSpot.spot'),
    heightM: antennaHeightM,
  })
  const columns = new AirColumns(terrain, locator, { ...seen, clearingM }, launch, radio, [link])
  const gains = new LinkGains(link)
  const curvature = 1 / (2 * radio.kFactor * EARTH_RADIUS_M)
  const found = targets.map((target) => {
    const ground = groundAt(terrain, target)
    const aglM = target.amslM - ground
    const { sightM, fresnelM, marginsDb } = columns.over(target, aglM)
    const { distanceM, bearingDeg } = geodesic(at, locator.toLatLon(target))
    const length = Math.max(distanceM, 1e-3)
    const slope = (target.amslM - launch.antennaAmslM) / length - length * curvature
    const elevationDeg = (Math.atan(slope) * 180) / Math.PI
    const aircraft = gains.aircraftDbi(elevationDeg)
    const groundDb = gains.netDb(bearingDeg, elevationDeg) - aircraft
    return {
      inSight: sightM <= aglM,
      isClear: fresnelM <= aglM,
      sighting: {
        azimuthDeg: bearingDeg,
        elevationDeg,
        baseDb: marginsDb[0] - groundDb,
        weight: target.weight,
      },
    }
  })
  // Nobody aims at what a mountain hides; without any in sight all count.
  const seenOnes = found.filter(({ inSight }) => inSight)
  const aimedAt = (seenOnes.length > 0 ? seenOnes : found).map(({ sighting }) => sighting)
  const known = aimedAt.filter(({ baseDb }) => !Number.isNaN(baseDb))
  const { aims } = bestAims(link, known, link.fadeMarginDb)
  const aimed = {
    ...link,
    branches: link.branches.map((branch, i) => ({ ...branch, aim: aims[i] })),
  }
  const margins = marginsWith(
    aimed,
    found.map(({ sighting }) => sighting),
  )
  const hits = {
    sight: Uint8Array.from(found, ({ inSight }) => (inSight ? 1 : 0)),
    fresnel: Uint8Array.from(found, ({ isClear }) => (isClear ? 1 : 0)),
    margin: Uint8Array.from(margins, (margin) => (margin >= link.fadeMarginDb ? 1 : 0)),
  }
  const total = targets.reduce((sum, { weight }) => sum + weight, 0)
  const share = (which: Uint8Array) =>
    targets.reduce((sum, { weight }, i) => sum + (which[i] ? weight : 0), 0) / total
  // What a mountain hides says nothing about a spot but that it is hidden.
  let worstTarget = -1
  margins.forEach((margin, i) => {
    if (!found[i].inSight || Number.isNaN(margin)) return
    if (worstTarget < 0 || margin < margins[worstTarget]) worstTarget = i
  })
  const aimedColumns = new AirColumns(terrain, locator, { ...seen, clearingM }, launch, radio, [
    aimed,
  ])
  const open = Uint8Array.from(targets, (target) => {
    const { marginFloorsM } = aimedColumns.over(target, 0)
    return marginFloorsM[0] <= ceilingM ? 1 : 0
  })
  return {
    at,
    groundM: launch.groundM,
    sight: share(hits.sight),
    fresnel: share(hits.fresnel),
    margin: share(hits.margin),
    open: share(open),
    hits,
    aims,
    worstTarget,
    worstDb: worstTarget < 0 ? NaN : margins[worstTarget],
    skyView: skyViewAt(terrain, seen, at, antennaHeightM, radio, clearingM),
  }
}

/** Margins of a link toward sightings, dB. */
function marginsWith(link: Link, sightings: readonly Sighting[]): number[] {
  const gains = new LinkGains(link)
  return sightings.map(
    ({ azimuthDeg, elevationDeg, baseDb }) =>
      baseDb + gains.netDb(azimuthDeg, elevationDeg) - gains.aircraftDbi(elevationDeg),
  )
}

/** Share of the sky above a skyline: the mean of the squared cosines of its elevations. */
function skyViewAt(
  terrain: TerrainGrid,
  seen: SeenSurface,
  at: LatLon,
  antennaHeightM: number,
  radio: RadioSettings,
  clearingM: number,
): number {
  const settings = { launch: at, antennaHeightM, radio, radiusM: null, sector: null, clearingM }
  const { sweep, northRad } = prepareSweep(terrain, settings)
  const { elevationDeg } = horizonFrom({ ...terrain, ...seen }, sweep, northRad, 72)
  const sum = elevationDeg.reduce(
    (total, elevation) => total + Math.cos((Math.max(0, elevation) * Math.PI) / 180) ** 2,
    0,
  )
  return sum / elevationDeg.length
}
