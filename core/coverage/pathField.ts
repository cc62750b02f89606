import type { DiffractionRadio } from '../propagation/diffraction'
import { wavelengthM } from '../propagation/freeSpace'
import { USUAL_FRESNEL_FRACTION } from '../propagation/fresnel'
import { EARTH_RADIUS_M } from '../geodesy/earth'
import type { SweepGround, SweepSettings } from './fan'
import type { ClearFields } from './radialSweep'

/**
 * The paths from the launch antenna to an aircraft over every cell: what they lose, and in which
 * direction they leave. With these, margins of any power and antenna are a look-up.
 */
export interface PathField {
  /** Free space and diffraction together, dB; NaN without an answer. */
  readonly lossDb: Float32Array
  /** Direction from the launch antenna, see directionOf. */
  readonly directions: Uint16Array
}

/** What a path field is for. */
export interface PathTask {
  /** Those of the clear-height fields, see sweepForPaths. */
  readonly settings: SweepSettings
  readonly frequencyMhz: number
  readonly polarisation: DiffractionRadio['polarisation']
  /** Of the aircraft above ground, metres. */
  readonly heightM: number
  /** Grid bearing of true north at the launch point. */
  readonly northRad: number
}

/**
 * One of the links whose paths are swept together. They go the same way: their tasks differ in
 * frequency and polarisation alone, and their settings in what follows from these.
 */
export interface PathRequest {
  readonly task: PathTask
  /** The clear heights of the task's settings. */
  readonly fields: ClearFields
}

/**
 * Settings of the clear-height fields that the paths of a link are built on: at its own frequency,
 * and with so much of the Fresnel zone wanted that beyond it nothing is lost. The settings given
 * where they will do.
 */
export function sweepForPaths(settings: SweepSettings, frequencyMhz: number): SweepSettings {
  const fresnelFraction = Math.max(settings.fresnelFraction, USUAL_FRESNEL_FRACTION)
  const itsWavelengthM = wavelengthM(frequencyMhz)
  const willDo =
    fresnelFraction === settings.fresnelFraction && itsWavelengthM === settings.wavelengthM
  return willDo ? settings : { ...settings, fresnelFraction, wavelengthM: itsWavelengthM }
}

/** Directions are kept in whole degrees of azimuth and of elevation. */
export const AZIMUTHS = 360
export const ELEVATIONS = 181
export const STEEPEST_DEG = 90

/** The nearest direction kept, as one number; see azimuthOf and elevationOf. */
export function directionOf(azimuthDeg: number, elevationDeg: number): number {
  const elevation = Math.round(Math.min(STEEPEST_DEG, Math.max(-STEEPEST_DEG, elevationDeg)))
  return azimuthSteps((azimuthDeg * Math.PI) / 180) * ELEVATIONS + elevation + STEEPEST_DEG
}

/** The nearest azimuth kept, 0 to AZIMUTHS - 1. */
export function azimuthSteps(azimuthRad: number): number {
  const steps = Math.round((azimuthRad * AZIMUTHS) / (2 * Math.PI))
  return ((steps % AZIMUTHS) + AZIMUTHS) % AZIMUTHS
}

export function azimuthOf(direction: number): number {
  return (Math.floor(direction / ELEVATIONS) * 360) / AZIMUTHS
}

export function elevationOf(direction: number): number {
  return (direction % ELEVATIONS) - STEEPEST_DEG
}

/** Nearer than this the aircraft is taken as so far from the launch antenna, cells on the ground. */
export const NEAREST_CELLS = 0.5

/** Where the aircraft over a cell is, seen from the launch antenna. */
export function geometryOf(ground: SweepGround, task: PathTask, cell: number) {
  const { col, row, antennaAmslM, groundCellM, kFactor } = task.settings
  const east = (cell % ground.cols) - col
  const south = Math.floor(cell / ground.cols) - row
  const distanceM = Math.max(NEAREST_CELLS, Math.hypot(east, south)) * groundCellM
  const rise = ground.heights[cell] + task.heightM - antennaAmslM
  const slope = rise / distanceM - distanceM / (2 * kFactor * EARTH_RADIUS_M)
  const bearing = Math.atan2(east, -south) - task.northRad
  return {
    slantM: Math.hypot(distanceM, rise),
    azimuthDeg: ((bearing * 180) / Math.PI + 360) % 360,
    elevationDeg: (Math.atan(slope) * 180) / Math.PI,
  }
}

/** The elevation of a path that leaves at this slope, in whole degrees from straight down. */
export function elevationIndex(slope: number): number {
  if (slope >= -1 && slope <= 1) return ELEVATION_OF_SLOPE[((slope + 1) * SLOPE_STEPS + 0.5) | 0]
  return Math.round((Math.atan(slope) * 180) / Math.PI) + STEEPEST_DEG
}

/** Index of the elevation by slope, from -1 (45 degrees down) to 1 in so many steps a unit. */
const SLOPE_STEPS = 2048
const ELEVATION_OF_SLOPE = Uint8Array.from({ length: 2 * SLOPE_STEPS + 1 }, (_, i) =>
  Math.round((Math.atan(i / SLOPE_STEPS - 1) * 180) / Math.PI + STEEPEST_DEG),
)
