import type { SweepGround, SweepSettings } from '../coverage/fan'
import { elevationOf, type PathField } from '../coverage/pathField'
import { PathSweep } from '../coverage/pathSweep'
import { RadialSweep, type ClearFields } from '../coverage/radialSweep'
import { emptyFields } from '../coverage/sweepThread'
import { peakGainDbi, polarisationLossDb } from '../radio/antenna'
import { LinkGains } from '../radio/budget'
import type { Link } from '../radio/link'
import { linearCase } from '../radio/pathBudget'
import { wavelengthM } from '../propagation/freeSpace'
import { USUAL_FRESNEL_FRACTION } from '../propagation/fresnel'

/** A place in the air that should be in the picture. */
export interface Target {
  /** Grid position. */
  readonly col: number
  readonly row: number
  readonly amslM: number
  /** How much it counts beside the others. */
  readonly weight: number
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

/** Corner cells of the part of the grid with candidates, both included. */
export interface Window {
  readonly west: number
  readonly north: number
  readonly east: number
  readonly south: number
}

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
 * The ground antenna is taken as aimed at each target, the best of its branches; vegetation is
 * left out, as is what stands on the last half cell before the candidate. Exact figures come from
 * AirColumns for the spots that do best.
 */
export class LaunchHeat {
  readonly sums: HeatSums
  private readonly fields: ClearFields
  private readonly paths: PathField
  /** Margin before the path loss, by the elevation index of a PathField. */
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
    this.paths = {
      lossDb: new Float32Array(ground.heights.length).fill(NaN),
      directions: new Uint16Array(ground.heights.length),
    }
    this.beforeLossDb = beforeLoss(settings.link)
  }

  /** Adds what the window sees of a target. */
  add(target: Target): void {
    const { ground, window, settings, fields, paths } = this
    const { antennaHeightM, link } = settings
    const sweep = this.sweepFrom(target)
    clearWindow(fields, paths, window, ground.cols)
    const radial = new RadialSweep(ground, sweep, fields)
    radial.run(0, radial.rayCount)
    const polarisation = linearCase(link.branches[0].antenna.polarisation)
    const about = { settings: sweep, frequencyMhz: link.frequencyMhz, polarisation }
    const task = { ...about, heightM: antennaHeightM, northRad: 0 }
    const lossy = new PathSweep(ground, fields, task, paths)
    lossy.run(0, lossy.rayCount)

    const { sight, fresnel, margin } = this.sums
    const wanted = link.fadeMarginDb
    let out = 0
    for (let row = window.north; row <= window.south; row++) {
      for (let col = window.west; col <= window.east; col++, out++) {
        const cell = row * ground.cols + col
        if (fields.sightM[cell] <= antennaHeightM) sight[out] += target.weight
        if (fields.fresnelM[cell] <= antennaHeightM) fresnel[out] += target.weight
        const before = this.beforeLossDb[elevationOf(paths.directions[cell]) + 90]
        if (before - paths.lossDb[cell] >= wanted) margin[out] += target.weight
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
function clearWindow(fields: ClearFields, paths: PathField, window: Window, cols: number): void {
  for (let row = window.north; row <= window.south; row++) {
    const [from, to] = [row * cols + window.west, row * cols + window.east + 1]
    fields.sightM.fill(NaN, from, to)
    fields.fresnelM.fill(NaN, from, to)
    paths.lossDb.fill(NaN, from, to)
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
  // A path that leaves the target downward reaches the ground antenna from above.
  return Float64Array.from(
    { length: 181 },
    (_, i) => gains.fixedDb + best + gains.aircraftDbi(-(i - 90)),
  )
}
