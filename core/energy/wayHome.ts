import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import type { RouteLine } from '../route/routeLine'
import type { Surface } from '../surface/surface'
import { bilinear, type GridLocator, type GridPosition, type TerrainGrid } from '../terrain/grid'
import { heightAt, meanAglM, type Flight, type Flyer, type Moment } from './flight'

/** The way home from one sample of a route. */
export interface WayHome {
  readonly distanceM: number
  /** Landed, from the sample on. */
  readonly timeS: number
  readonly mah: number
  /** Taken in all when landed. */
  readonly landedMah: number
  /** Highest flown, above sea level. */
  readonly highestM: number
  /** Power of the last stretch, watts. */
  readonly lastW: number
  /** True where it ends above the reserve with a pack that holds. */
  readonly isEnough: boolean
}

/** A place to land. */
export interface Landing extends GridPosition {
  readonly at: LatLon
  readonly groundM: number
}

/** The last place of a route from which the way home is still enough, all the way until there. */
export interface TurnPoint {
  readonly sample: number
  /** Flown until there. */
  readonly distanceM: number
  readonly timeS: number
  readonly takenMah: number
  readonly home: WayHome
  /** True where that is the end of the route: home is in reach from everywhere on it. */
  readonly isEnd: boolean
}

/** Spacing of the ground looked at on the straight way home, in cells. */
const STEP_CELLS = 0.5
/** The straight way is looked at from every so-many-th sample, then closer. */
const STRIDE = 16

/** Ways home along a route that is flown. */
export class WaysHome {
  /** By leg: airspeed on the way back; null where it cannot be flown. */
  private readonly backSpeeds: readonly (number | null)[]

  constructor(
    private readonly terrain: TerrainGrid,
    private readonly locator: GridLocator,
    private readonly surface: Surface,
    private readonly flyer: Flyer,
    private readonly line: RouteLine,
    private readonly flight: Flight,
    /** Kept over everything on the straight way, metres. */
    private readonly clearanceM: number,
  ) {
    this.backSpeeds = line.legs.map((leg) =>
      flyer.bestAirspeedMs((leg.bearingDeg + 180) % 360, meanAglM(line, leg)),
    )
  }

  /** Back the way the aircraft came; null where no flight leads to the sample. */
  retraced(sample: number): WayHome | null {
    const { flyer, line } = this
    const from = this.momentAt(sample)
    if (!from) return null
    const { distanceM, flownM, legOf, legs, stations } = line
    let at = from
    let highestM = flownM[sample]
    for (let i = sample; i > 0; i--) {
      const speed = this.backSpeeds[legOf[i]]
      if (speed === null && legs[legOf[i]].distanceM > 0) return this.homeless(distanceM[sample])
      const climb = flownM[i - 1] - flownM[i]
      const track = (legs[legOf[i]].bearingDeg + 180) % 360
      const gap = distanceM[i] - distanceM[i - 1]
      at = flyer.along(at, gap, climb, track, heightAt(line, i - 1), speed ?? 0)
      highestM = Math.max(highestM, flownM[i - 1])
    }
    const [launch] = stations
    const heightM = launch.amslM - launch.groundM
    return this.landed(from, at, launch.groundM, heightM, distanceM[sample], highestM)
  }

  /** Straight home over everything in between; null where no flight leads to the sample. */
  straight(sample: number): WayHome | null {
    return this.straightTo(sample, this.home)
  }

  /**
   * Straight to a place over everything in between, and down there; null where no flight leads to
   * the sample. Whether it is enough is judged by the reserve.
   */
  straightTo(sample: number, to: Landing): WayHome | null {
    const { flyer, line, locator } = this
    const from = this.momentAt(sample)
    if (!from) return null
    const place = { col: line.cols[sample], row: line.rows[sample] }
    const way = geodesic(locator.toLatLon(place), to.at)
    const between = this.highestBetween(place, to)
    const highestM = Math.max(line.flownM[sample], between + this.clearanceM)
    const height = { aglM: highestM - line.groundM[sample], amslM: highestM }
    const speed = flyer.bestAirspeedMs(way.bearingDeg, height.aglM)
    // Neither against the wind, nor over ground that is not known.
    if ((speed === null && way.distanceM > 0) || Number.isNaN(highestM)) {
      return this.homeless(way.distanceM)
    }
    const up = flyer.vertical(from, highestM - line.flownM[sample], height)
    const over = flyer.along(up, way.distanceM, 0, way.bearingDeg, height, speed ?? 0)
    return this.landed(from, over, to.groundM, highestM - to.groundM, way.distanceM, highestM)
  }

  /**
   * Where to turn to come back the way one came; null where not even the start is near enough. A
   * route that itself comes home above the reserve has none: one may always fly on.
   */
  turnRetraced(): TurnPoint | null {
    const { landed, sagSample } = this.flight
    if (landed && sagSample === null && landed.takenMah <= this.flyer.pack.budgetMah) {
      const last = this.line.distanceM.length - 1
      return this.turnPoint(last, this.straight(last))
    }
    // What is left on coming home only falls as the route goes on.
    let [good, bad] = [-1, this.line.distanceM.length]
    while (bad - good > 1) {
      const middle = (good + bad) >> 1
      if (this.retraced(middle)?.isEnough) good = middle
      else bad = middle
    }
    return this.turnPoint(good, good < 0 ? null : this.retraced(good))
  }

  /** Where to turn to come straight home; null where not even the start is near enough. */
  turnStraight(): TurnPoint | null {
    const last = this.line.distanceM.length - 1
    let good = -1
    for (let sample = 0; ; sample = Math.min(last, sample + STRIDE)) {
      if (!this.straight(sample)?.isEnough) break
      good = sample
      if (sample === last) break
    }
    while (good >= 0 && good < last && this.straight(good + 1)?.isEnough) good++
    return this.turnPoint(good, good < 0 ? null : this.straight(good))
  }

  private turnPoint(sample: number, home: WayHome | null): TurnPoint | null {
    if (!home) return null
    return {
      sample,
      distanceM: this.line.distanceM[sample],
      timeS: this.flight.timeS[sample],
      takenMah: this.flight.takenMah[sample],
      home,
      isEnd: sample === this.line.distanceM.length - 1,
    }
  }

  private momentAt(sample: number): Moment | null {
    const takenMah = this.flight.takenMah[sample]
    if (Number.isNaN(takenMah)) return null
    return { timeS: this.flight.timeS[sample], takenMah, powerW: 0 }
  }

  /** Down from so high over the ground there. */
  private landed(
    from: Moment,
    over: Moment,
    groundM: number,
    heightM: number,
    distanceM: number,
    highestM: number,
  ): WayHome {
    const middle = { aglM: heightM / 2, amslM: groundM + heightM / 2 }
    const end = this.flyer.vertical(over, -heightM, middle)
    return {
      distanceM,
      timeS: end.timeS - from.timeS,
      mah: end.takenMah - from.takenMah,
      landedMah: end.takenMah,
      highestM,
      lastW: Math.max(over.powerW, end.powerW),
      isEnough: this.flyer.isEnough(over) && this.flyer.isEnough(end),
    }
  }

  /** The wind does not let anybody home. */
  private homeless(distanceM: number): WayHome {
    const never = { timeS: NaN, mah: NaN, landedMah: NaN, highestM: NaN, lastW: NaN }
    return { ...never, distanceM, isEnough: false }
  }

  private get home(): Landing {
    const { line } = this
    const [launch] = line.stations
    return { at: launch, col: line.cols[0], row: line.rows[0], groundM: launch.groundM }
  }

  /** Highest surface between two places of the grid, above sea level; NaN over a gap. */
  private highestBetween(from: GridPosition, to: GridPosition): number {
    const { terrain, surface } = this
    const cells = Math.hypot(from.col - to.col, from.row - to.row)
    const steps = Math.max(1, Math.ceil(cells / STEP_CELLS))
    let highest = -Infinity
    for (let k = 0; k <= steps; k++) {
      const x = to.col + ((from.col - to.col) * k) / steps
      const y = to.row + ((from.row - to.row) * k) / steps
      const height = bilinear(surface.covered, terrain.cols, terrain.rows, x, y)
      if (!(height <= highest)) highest = height
      if (Number.isNaN(highest)) return NaN
    }
    return highest
  }
}
