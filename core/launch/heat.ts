import type { SweepGround, SweepSettings } from '../coverage/fan'
import { elevationIndex, ELEVATIONS, STEEPEST_DEG } from '../coverage/pathField'
import { BESIDE_THE_CELL, RadialSweep, type ClearFields } from '../coverage/radialSweep'
import { emptyFields } from '../coverage/sweepThread'
import { EARTH_RADIUS_M } from '../geodesy/earth'
import type { CellBounds } from '../landing/cellBounds'
import { fastDecibels } from '../propagation/decibels'
import { bullingtonLossDb, knifeEdgeLossDb, tabulatedEdgeLossDb } from '../propagation/diffraction'
import { freeSpaceLossDb, wavelengthM } from '../propagation/freeSpace'
import { USUAL_FRESNEL_FRACTION } from '../propagation/fresnel'
import { peakGainDbi, polarisationLossDb } from '../radio/antenna'
import { LinkGains } from '../radio/budget'
import type { Link } from '../radio/link'

/** A place in the air that should be in the picture. */
export interface Target {
  /** Grid position. */
  readonly col: number
  readonly row: number
  readonly amslM: number
  /** How much it counts beside the others. */
  readonly weight: number
  /** Flown until there, metres, for targets along a route. */
  readonly flownM?: number
}

/** What every target is judged by. */
export interface HeatSettings {
  /** Of the ground antenna above ground, metres. */
  readonly antennaHeightM: number
  readonly kFactor: number
  readonly fresnelFraction: number
  readonly link: Link
  /** True ground length of a cell edge, metres. */
  readonly groundCellM: number
}

/** The part of the grid with candidates. */
export type Window = CellBounds

/** Weights of the targets that each cell of the window sees, row by row. */
export interface HeatSums {
  readonly sight: Float32Array
  readonly fresnel: Float32Array
  readonly margin: Float32Array
}

/** The window is seen from a target under a little more than its corners ask for. */
const SLACK_RAD = 0.01
const SLACK_CELLS = 3

/**
 * Where to stand to see targets. A path is the same from both ends, so each target is swept once
 * onto the ground, instead of every candidate toward every target.
 *
 * The ground antenna is taken as aimed at each target, the best of its branches; what is in the
 * way costs as the one edge that decides on sight; vegetation is left out. Exact figures come from
 * judgeSpot for the spots that do best.
 */
export class LaunchHeat {
  readonly sums: HeatSums
  private readonly fields: ClearFields
  /** Margin before the path loss, by the elevation of the target (see elevationIndex). */
  private readonly beforeLossDb: Float64Array

  constructor(
    private readonly ground: SweepGround,
    private readonly window: Window,
    private readonly settings: HeatSettings,
  ) {
    const cells = windowCols(window) * (window.south - window.north + 1)
    this.sums = {
      sight: new Float32Array(cells),
      fresnel: new Float32Array(cells),
      margin: new Float32Array(cells),
    }
    this.fields = emptyFields(ground.heights.length)
    this.beforeLossDb = beforeLoss(settings.link)
  }

  /** Adds what the window sees of a target. */
  add(target: Target): void {
    const { ground, window, settings, fields, beforeLossDb } = this
    const { antennaHeightM, link, groundCellM, kFactor } = settings
    const sweep = this.sweepFrom(target)
    clearWindow(fields, window, ground.cols)
    const radial = new RadialSweep(ground, sweep, fields)
    radial.run(0, radial.rayCount)

    const { sightM, fresnelM, edge } = fields
    const { sight, fresnel, margin } = this.sums
    const wantedDb = link.fadeMarginDb + freeSpaceLossDb(1, link.frequencyMhz)
    const curvature = 1 / (2 * kFactor * EARTH_RADIUS_M)
    const perWavelength = 2 / sweep.wavelengthM
    let out = 0
    for (let row = window.north; row <= window.south; row++) {
      const south = row - target.row
      for (let col = window.west; col <= window.east; col++, out++) {
        const cell = row * ground.cols + col
        const clear = sightM[cell]
        if (Number.isNaN(clear)) continue
        const free = fresnelM[cell]
        if (clear <= antennaHeightM) sight[out] += target.weight
        if (free <= antennaHeightM) fresnel[out] += target.weight
        const east = col - target.col
        const distance = Math.max(0.5, Math.sqrt(east * east + south * south)) * groundCellM
        const rise = target.amslM - ground.heights[cell] - antennaHeightM
        // The elevation at which the candidate sees the target.
        const slope = rise / distance - distance * curvature
        let marginDb =
          beforeLossDb[elevationIndex(slope)] -
          fastDecibels(distance * distance + rise * rise) -
          wantedDb
        if (marginDb >= 0 && free > antennaHeightM) {
          marginDb -= oneEdgeDb(clear, free, edge[cell], antennaHeightM, distance, perWavelength)
        }
        if (marginDb >= 0) margin[out] += target.weight
      }
    }
  }

  /** From the target, over no more of the grid than the window asks for. */
  private sweepFrom({ col, row, amslM }: Target): SweepSettings {
    const { window, settings } = this
    const { kFactor, groundCellM, link } = settings
    const isInside =
      col >= window.west - 1 &&
      col <= window.east + 1 &&
      row >= window.north - 1 &&
      row <= window.south + 1
    const corners = [
      [window.west, window.north],
      [window.east, window.north],
      [window.west, window.south],
      [window.east, window.south],
    ].map(([x, y]) => [x - col, y - row])
    const reach = Math.max(...corners.map(([x, y]) => Math.hypot(x, y)))
    const middle = Math.atan2(
      (window.west + window.east) / 2 - col,
      -((window.north + window.south) / 2 - row),
    )
    const turns = corners.map(([x, y]) => {
      const turn = Math.atan2(x, -y) - middle
      return Math.abs(turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)))
    })
    return {
      col,
      row,
      antennaAmslM: amslM,
      groundCellM,
      kFactor,
      wavelengthM: wavelengthM(link.frequencyMhz),
      fresnelFraction: Math.max(settings.fresnelFraction, USUAL_FRESNEL_FRACTION),
      radiusCells: reach + SLACK_CELLS,
      sector: isInside ? null : { middleRad: middle, halfWidthRad: Math.max(...turns) + SLACK_RAD },
      clearingCells: 0,
    }
  }
}

export function windowCols({ west, east }: Window): number {
  return east - west + 1
}

/** Marks the window as without an answer: a sweep need not meet all of it. */
function clearWindow(fields: ClearFields, window: Window, cols: number): void {
  for (let row = window.north; row <= window.south; row++) {
    const [from, to] = [row * cols + window.west, row * cols + window.east + 1]
    fields.sightM.fill(NaN, from, to)
    fields.fresnelM.fill(NaN, from, to)
  }
}

/** Power, aimed ground antenna and the aircraft's own, less fixed losses, over the sensitivity. */
function beforeLoss(link: Link): Float64Array {
  const lambda = wavelengthM(link.frequencyMhz)
  const best = Math.max(
    ...link.branches.map(
      ({ antenna, feederLossDb }) =>
        peakGainDbi(antenna, lambda) -
        feederLossDb -
        polarisationLossDb(antenna.polarisation, link.aircraft.antenna.polarisation),
    ),
  )
  const gains = new LinkGains(link)
  return Float64Array.from(
    { length: ELEVATIONS },
    (_, i) => gains.fixedDb + best + gains.aircraftDbi(i - STEEPEST_DEG),
  )
}

/**
 * Loss of one edge, dB, from the clear heights of a receiver and where on the way the deciding
 * ground lies. In sight with part of the zone taken, nu is taken linearly between its values at
 * the height that frees the zone and at the one that has sight.
 */
function oneEdgeDb(
  clearM: number,
  freeM: number,
  edge: number,
  heightM: number,
  distanceM: number,
  perWavelength: number,
): number {
  if (clearM <= heightM) {
    const taken = (freeM - heightM) / Math.max(1e-6, freeM - clearM)
    const nu = FREE_NU * (1 - taken)
    return bullingtonLossDb(knifeEdgeLossDb(nu), distanceM)
  }
  const way = Math.min(edge, BESIDE_THE_CELL - 1) / BESIDE_THE_CELL
  const angle = (clearM - heightM) / distanceM
  const squaredNu = (perWavelength * distanceM * angle * angle * way) / (1 - way)
  return tabulatedEdgeLossDb(squaredNu, distanceM)
}

/** nu of ground at 0.6 of the first Fresnel radius: -0.6 times the root of two. */
const FREE_NU = -0.6 * Math.SQRT2
