import { EARTH_RADIUS_M } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import {
  bullingtonDb,
  heightsOverSmoothEarth,
  smoothBullingtonDb,
  SmoothFit,
  sphericalEarthLossDb,
  type DiffractionRadio,
} from '../propagation/diffraction'
import { freeSpaceLossDb, wavelengthM } from '../propagation/freeSpace'
import { USUAL_FRESNEL_FRACTION } from '../propagation/fresnel'
import {
  OWN_GROUND_CELLS,
  SAMPLE_STEP_CELLS,
  type RadioSettings,
  type ResolvedEnd,
} from '../propagation/path'
import { LinkGains } from '../radio/budget'
import type { Link } from '../radio/link'
import { linearCase } from '../radio/pathBudget'
import { surfaceAt, type SeenSurface } from '../surface/surface'
import { groundAt, type GridLocator, type GridPosition, type TerrainGrid } from '../terrain/grid'

/** What a launch point makes of the air over one place; heights in metres above ground. */
export interface AirColumn {
  /** Lowest heights with sight, and with the wanted share of the first Fresnel zone free. */
  readonly sightM: number
  readonly fresnelM: number
  /** By link: lowest height from which the wanted margin is reached; Infinity at none. */
  readonly marginFloorsM: readonly number[]
  /** By link: margin at the height asked about, dB. */
  readonly marginsDb: readonly number[]
  /** How far the worst link is from its wanted margin there, dB; below zero for more than that. */
  readonly shortDb: number
}

/** A column behind missing data: nothing is known. */
function unknownColumn(links: number): AirColumn {
  const unknown = new Array<number>(links).fill(NaN)
  return { sightM: NaN, fresnelM: NaN, marginFloorsM: unknown, marginsDb: unknown, shortDb: NaN }
}

const LEAST_LENGTH_M = 1e-3
/** Halvings in the search for the height of the wanted margin. */
const HALVINGS = 11

interface Radio extends DiffractionRadio {
  readonly link: Link
  readonly gains: LinkGains
}

/**
 * Looks from one launch point at the air over single places, exactly: the ground on the way is
 * sampled as for a path profile, once for all heights and links. Vegetation counts as solid.
 *
 * The way to a place that is in sight of nothing lower than its upper hull needs that hull alone
 * for Bullington's horizons, so that each height tried costs a look at a few points.
 */
export class AirColumns {
  private readonly start: GridPosition
  private readonly radios: readonly Radio[]
  private distanceM = new Float64Array(0)
  private surfaceM = new Float64Array(0)

  /** @param launch the launch antenna, see resolveEnd */
  constructor(
    private readonly terrain: TerrainGrid,
    private readonly locator: GridLocator,
    private readonly seen: SeenSurface,
    private readonly launch: ResolvedEnd,
    private readonly radio: RadioSettings,
    links: readonly Link[],
  ) {
    this.start = locator.toGrid(launch)
    this.radios = links.map((link) => ({
      link,
      gains: new LinkGains(link),
      wavelengthM: wavelengthM(link.frequencyMhz),
      polarisation: linearCase(link.branches[0].antenna.polarisation),
    }))
  }

  /**
   * The air over a place of the grid.
   * @param aglM height above ground at which the margins are wanted
   */
  over(place: GridPosition, aglM: number): AirColumn {
    const { launch, radio, radios } = this
    const groundM = groundAt(this.terrain, place)
    const { distanceM, bearingDeg } = geodesic(launch, this.locator.toLatLon(place))
    // Straight up over the launch point is a very steep path.
    const length = Math.max(distanceM, LEAST_LENGTH_M)
    const cells = Math.hypot(place.col - this.start.col, place.row - this.start.row)
    if (Number.isNaN(groundM)) return unknownColumn(radios.length)
    const count = this.sampleWay(place, cells, length)
    const way = this.lookAlong(count)
    if (Number.isNaN(way.sightSlope)) return unknownColumn(radios.length)

    const drop = length * length * this.curvature
    const leastM = Math.max(0, this.surfaceM[count - 1] - groundM)
    const heightOf = (slope: number) =>
      Math.max(leastM, launch.antennaAmslM + length * slope + drop - groundM)
    const sightM = heightOf(way.sightSlope)
    const clearM = way.clearSlopes.map(heightOf)

    const found = radios.map((its, k) => {
      const margin = (heightM: number) => {
        const toAmslM = groundM + heightM
        const rise = toAmslM - launch.antennaAmslM
        const slope = rise / length - length * this.curvature
        const elevationDeg = (Math.atan(slope) * 180) / Math.PI
        const slantM = Math.max(0.5, Math.hypot(length, rise))
        return (
          its.gains.fixedDb +
          its.gains.netDb(bearingDeg, elevationDeg) -
          freeSpaceLossDb(slantM, its.link.frequencyMhz) -
          this.diffractionDb(way, count, toAmslM, heightM < sightM, heightM < clearM[k + 1], its)
        )
      }
      return {
        floorM: Math.max(leastM, lowestWith(margin, its.link.fadeMarginDb, clearM[k + 1])),
        marginDb: margin(Math.max(aglM, 0)),
      }
    })
    return {
      sightM,
      fresnelM: Math.max(sightM, radio.fresnelFraction > 0 ? clearM[0] : sightM),
      marginFloorsM: found.map(({ floorM }) => floorM),
      marginsDb: found.map(({ marginDb }) => marginDb),
      shortDb: Math.max(...found.map(({ marginDb }, k) => radios[k].link.fadeMarginDb - marginDb)),
    }
  }

  private get curvature(): number {
    return 1 / (2 * this.radio.kFactor * EARTH_RADIUS_M)
  }

  /** Samples the way to a place, its own ground left out but for the place itself. */
  private sampleWay(place: GridPosition, cells: number, length: number): number {
    const { start, seen, terrain } = this
    const between = Math.max(0, Math.floor((cells - OWN_GROUND_CELLS) / SAMPLE_STEP_CELLS))
    const count = between + 2
    if (this.distanceM.length < count) {
      this.distanceM = new Float64Array(2 * count)
      this.surfaceM = new Float64Array(2 * count)
    }
    for (let i = 0; i < count; i++) {
      const t = i === 0 ? 0 : i === count - 1 ? 1 : (i * SAMPLE_STEP_CELLS) / cells
      const at = {
        col: start.col + (place.col - start.col) * t,
        row: start.row + (place.row - start.row) * t,
      }
      this.distanceM[i] = t * length
      this.surfaceM[i] = surfaceAt(seen, terrain, at, t * length)
    }
    return count
  }

  /** Slopes that the way asks for, its upper hull and its straight-line fit. */
  private lookAlong(count: number): Way {
    const { distanceM, surfaceM, curvature, radios, radio } = this
    const { antennaAmslM } = this.launch
    const perLength = 1 / distanceM[count - 1]
    const coefficients = [
      radio.fresnelFraction * Math.sqrt(wavelengthM(radio.frequencyMhz)),
      ...radios.map((its) => USUAL_FRESNEL_FRACTION * Math.sqrt(its.wavelengthM)),
    ]
    const clearSlopes = coefficients.map(() => -Infinity)
    const hull: number[] = [0]
    const fit = new SmoothFit()
    let sightSlope = -Infinity
    // With the drop of the curved Earth taken off, the hull serves receivers at any height.
    const lifted = (i: number) => surfaceM[i] - distanceM[i] * distanceM[i] * curvature
    for (let i = 1; i < count; i++) {
      const d = distanceM[i]
      fit.add(distanceM[i - 1], surfaceM[i - 1], d, surfaceM[i])
      if (i === count - 1) break
      const z = lifted(i)
      if (Number.isNaN(z)) return { sightSlope: NaN, clearSlopes, hull, fit }
      const slope = (z - antennaAmslM) / d
      if (slope > sightSlope) sightSlope = slope
      const root = Math.sqrt(1 / d - perLength)
      for (let k = 0; k < coefficients.length; k++) {
        const needed = slope + coefficients[k] * root
        if (needed > clearSlopes[k]) clearSlopes[k] = needed
      }
      while (hull.length > 1) {
        const [a, b] = [hull[hull.length - 2], hull[hull.length - 1]]
        const up = (lifted(b) - lifted(a)) * (d - distanceM[a])
        if (up > (z - lifted(a)) * (distanceM[b] - distanceM[a])) break
        hull.pop()
      }
      hull.push(i)
    }
    return { sightSlope, clearSlopes, hull: [...hull, count - 1], fit }
  }

  private diffractionDb(
    { hull, fit }: Way,
    count: number,
    toAmslM: number,
    isBlocked: boolean,
    isTouched: boolean,
    radio: Radio,
  ): number {
    const { distanceM, surfaceM } = this
    const effectiveRadiusM = this.radio.kFactor * EARTH_RADIUS_M
    const thin = {
      distanceM: hull.map((i) => distanceM[i]),
      surfaceM: hull.map((i) => surfaceM[i]),
      fromAmslM: this.launch.antennaAmslM,
      toAmslM,
      effectiveRadiusM,
    }
    let loss = 0
    if (isBlocked) loss = bullingtonDb(thin, radio.wavelengthM)
    else if (isTouched) {
      // The worst place of a touched zone need not be on the hull.
      const whole = {
        ...thin,
        distanceM: distanceM.subarray(0, count),
        surfaceM: surfaceM.subarray(0, count),
      }
      loss = bullingtonDb(whole, radio.wavelengthM)
    }
    const length = distanceM[count - 1]
    const { fromM, toM } = heightsOverSmoothEarth(thin, fit)
    const spherical = sphericalEarthLossDb(fromM, toM, length, effectiveRadiusM, radio)
    if (spherical <= 0) return loss
    const smooth = smoothBullingtonDb(fromM, toM, length, effectiveRadiusM, radio.wavelengthM)
    return loss + Math.max(0, spherical - smooth)
  }
}

interface Way {
  /** NaN where data is missing on the way. */
  readonly sightSlope: number
  /** For the wanted share of the zone first, then for a zone that costs nothing, by link. */
  readonly clearSlopes: number[]
  /** Samples of the upper hull, both ends included. */
  readonly hull: readonly number[]
  readonly fit: SmoothFit
}

/** Heights tried where the margin is not there with nothing in the way: shares of that height. */
const TRIED_SHARES = [0.2, 0.4, 0.6, 0.8]
/** And above it, metres: an antenna may look up. */
const TRIED_ABOVE_M = [30, 100, 250]

/**
 * Lowest height at which a margin is reached; Infinity where it is at none. It mostly grows with
 * height until nothing is in the way, so that height is tried first; beams can make it fall.
 */
function lowestWith(margin: (heightM: number) => number, wantedDb: number, clearM: number): number {
  if (margin(0) >= wantedDb) return 0
  const clear = Math.max(0, clearM)
  let [low, high] = [0, clear]
  if (margin(high) < wantedDb) {
    const tried = [...TRIED_SHARES.map((share) => share * clear), clear]
    tried.push(...TRIED_ABOVE_M.map((above) => clear + above))
    const first = tried.findIndex((heightM) => margin(heightM) >= wantedDb)
    if (first < 0) return Infinity
    ;[low, high] = [tried[first - 1] ?? 0, tried[first]]
  }
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2
    if (margin(middle) >= wantedDb) high = middle
    else low = middle
  }
  return high
}
