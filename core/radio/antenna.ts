/**
 * Antennas by gain and pattern. Directions are an azimuth (degrees clockwise from true north) and
 * an elevation (degrees above the level); gains are dBi.
 */

export type Polarisation = 'vertical' | 'horizontal' | 'right-circular' | 'left-circular'
export const POLARISATIONS: readonly Polarisation[] = [
  'vertical',
  'horizontal',
  'right-circular',
  'left-circular',
]

export type Antenna =
  | { readonly kind: 'isotropic'; readonly polarisation: Polarisation }
  /** Half-wave dipole; its axis stands upright, tilted by the tilt it is given. */
  | { readonly kind: 'dipole'; readonly polarisation: Polarisation }
  | {
      readonly kind: 'patch'
      readonly polarisation: Polarisation
      readonly gainDbi: number
      readonly beamwidthDeg: number
    }
  /** Axial-mode helix; circular with the sense of its winding. */
  | {
      readonly kind: 'helix'
      readonly polarisation: Polarisation
      readonly turns: number
      readonly circumferenceM: number
      readonly pitchM: number
    }
  | {
      readonly kind: 'beam'
      readonly polarisation: Polarisation
      readonly gainDbi: number
      readonly beamwidthDeg: number
    }

/** Where an antenna points: its axis, or for a dipole the way its upright axis leans. */
export interface Aim {
  readonly azimuthDeg: number
  readonly tiltDeg: number
}

const RAD = Math.PI / 180
const DIPOLE_DBI = 2.15
/** No pattern of a small antenna is deeper than this in the field, dB under its maximum. */
const DEEPEST_DB = 25
/** A patch in front of its ground plane: how far its back lies under its front, dB. */
const PATCH_BACK_DB = 20

/** Loss between two polarisations, dB; crossed ones keep what real antennas leave. */
export function polarisationLossDb(a: Polarisation, b: Polarisation): number {
  if (a === b) return 0
  const isCircular = (polarisation: Polarisation) => polarisation.endsWith('circular')
  if (isCircular(a) !== isCircular(b)) return LINEAR_TO_CIRCULAR_DB
  return CROSSED_DB
}
/** Half the power: 10 log10 2. */
const LINEAR_TO_CIRCULAR_DB = 10 * Math.log10(2)
/** Common practice, no source: isolation of crossed antennas of this kind. */
const CROSSED_DB = 20

/** Axial-mode helix in wavelengths, and whether Kraus' formulas hold for it. */
export function helixAt(
  { turns, circumferenceM, pitchM }: Extract<Antenna, { kind: 'helix' }>,
  wavelengthM: number,
) {
  const circumference = circumferenceM / wavelengthM
  const pitch = pitchM / wavelengthM
  const pitchAngleDeg = Math.atan2(pitchM, circumferenceM) / RAD
  return {
    circumference,
    pitch,
    pitchAngleDeg,
    /** J. D. Kraus, Antennas: 3/4 < C < 4/3 wavelengths, 12 to 14 degrees, more than 3 turns. */
    isAxialMode: circumference > 0.75 && circumference < 4 / 3 && turns > 3,
    gainDbi: 10 * Math.log10(15 * circumference ** 2 * turns * pitch),
    beamwidthDeg: 52 / (circumference * Math.sqrt(turns * pitch)),
  }
}

/** Gain at the middle of the beam, dBi. */
export function peakGainDbi(antenna: Antenna, wavelengthM: number): number {
  switch (antenna.kind) {
    case 'isotropic':
      return 0
    case 'dipole':
      return DIPOLE_DBI
    case 'helix':
      return helixAt(antenna, wavelengthM).gainDbi
    case 'patch':
    case 'beam':
      return antenna.gainDbi
  }
}

/** Width of the main beam between its -3 dB directions, degrees; null where there is no beam. */
export function beamwidthDeg(antenna: Antenna, wavelengthM: number): number | null {
  if (antenna.kind === 'isotropic') return null
  if (antenna.kind === 'dipole') return 78
  if (antenna.kind === 'helix') return helixAt(antenna, wavelengthM).beamwidthDeg
  return antenna.beamwidthDeg
}

/** A direction as a vector east, north, up. */
type Vector = readonly [east: number, north: number, up: number]

function vector(azimuthDeg: number, elevationDeg: number): Vector {
  const level = Math.cos(elevationDeg * RAD)
  return [
    level * Math.sin(azimuthDeg * RAD),
    level * Math.cos(azimuthDeg * RAD),
    Math.sin(elevationDeg * RAD),
  ]
}

/** An antenna that points somewhere, ready to be asked for its gain in many directions. */
export class AimedAntenna {
  private readonly axis: Vector

  private constructor(
    private readonly antenna: Antenna,
    private readonly peakDbi: number,
    /** Loss under the maximum by the cosine of the angle off the axis, in steps. */
    private readonly falls: Float64Array,
    aim: Aim,
  ) {
    // A dipole's axis stands upright; tilting it forward lowers the axis toward the azimuth.
    const elevation = antenna.kind === 'dipole' ? 90 - aim.tiltDeg : aim.tiltDeg
    this.axis = vector(aim.azimuthDeg, elevation)
  }

  static of(antenna: Antenna, aim: Aim, wavelengthM: number): AimedAntenna {
    const peakDbi = peakGainDbi(antenna, wavelengthM)
    return new AimedAntenna(antenna, peakDbi, fallsOf(antenna, wavelengthM), aim)
  }

  /** The same antenna pointed elsewhere. */
  toward(aim: Aim): AimedAntenna {
    return new AimedAntenna(this.antenna, this.peakDbi, this.falls, aim)
  }

  gainDbi(azimuthDeg: number, elevationDeg: number): number {
    const [east, north, up] = vector(azimuthDeg, elevationDeg)
    return this.dbiAt(east * this.axis[0] + north * this.axis[1] + up * this.axis[2])
  }

  /** `gainDbi` for all pairs, the elevations of an azimuth one after the other. */
  gainsDbi(azimuthsDeg: readonly number[], elevationsDeg: readonly number[]): Float64Array {
    const upright = elevationsDeg.map((elevationDeg) => vector(0, elevationDeg))
    const level = Float64Array.from(upright, ([, north]) => north)
    const up = Float64Array.from(upright, ([, , up]) => up * this.axis[2])
    const gains = new Float64Array(azimuthsDeg.length * level.length)
    let at = 0
    for (const azimuthDeg of azimuthsDeg) {
      const [east, north] = vector(azimuthDeg, 0)
      const along = east * this.axis[0] + north * this.axis[1]
      for (let i = 0; i < level.length; i++) gains[at++] = this.dbiAt(level[i] * along + up[i])
    }
    return gains
  }

  /** By the cosine of the angle off the axis. */
  private dbiAt(cosine: number): number {
    const last = this.falls.length - 1
    const at = Math.min(last, Math.max(0, ((cosine + 1) / 2) * last))
    const low = Math.min(last - 1, at | 0)
    return this.peakDbi - (this.falls[low] + (this.falls[low + 1] - this.falls[low]) * (at - low))
  }
}

/** Tables of falls by antenna, each for the wavelength it was last asked for. */
const tables = new WeakMap<
  Antenna,
  { readonly wavelengthM: number; readonly falls: Float64Array }
>()

function fallsOf(antenna: Antenna, wavelengthM: number): Float64Array {
  const kept = tables.get(antenna)
  if (kept?.wavelengthM === wavelengthM) return kept.falls
  const steps = 4096
  const falls = Float64Array.from({ length: steps + 1 }, (_, i) =>
    Math.min(DEEPEST_DB, fallDb(antenna, Math.acos((2 * i) / steps - 1), wavelengthM)),
  )
  tables.set(antenna, { wavelengthM, falls })
  return falls
}

/** How far an antenna falls under its maximum at an angle off its axis, dB. */
function fallDb(antenna: Antenna, offAxisRad: number, wavelengthM: number): number {
  switch (antenna.kind) {
    case 'isotropic':
      return 0
    case 'dipole': {
      const sine = Math.sin(offAxisRad)
      if (sine < 1e-6) return DEEPEST_DB
      return -20 * Math.log10(Math.abs(Math.cos((Math.PI / 2) * Math.cos(offAxisRad)) / sine))
    }
    case 'patch': {
      // A power of the cosine that is 3 dB down at half the beamwidth.
      const power = 3 / (-10 * Math.log10(Math.cos((antenna.beamwidthDeg / 2) * RAD)))
      const cosine = Math.cos(offAxisRad)
      return cosine <= 0 ? PATCH_BACK_DB : Math.min(PATCH_BACK_DB, -10 * power * Math.log10(cosine))
    }
    case 'helix':
      return helixFallDb(antenna, offAxisRad, wavelengthM)
    case 'beam': {
      // A Gaussian main beam: 3 dB at half the beamwidth.
      const halves = offAxisRad / RAD / (antenna.beamwidthDeg / 2)
      return 3 * halves ** 2
    }
  }
}

/** Kraus: one turn's cosine times the array of turns, fed for most gain along the axis. */
function helixFallDb(
  antenna: Extract<Antenna, { kind: 'helix' }>,
  offAxisRad: number,
  wavelengthM: number,
): number {
  const { turns } = antenna
  const { pitch } = helixAt(antenna, wavelengthM)
  const psi = 2 * Math.PI * (pitch * (1 - Math.cos(offAxisRad)) + 1 / (2 * turns))
  const array = Math.sin((turns * psi) / 2) / Math.sin(psi / 2)
  const field = Math.abs(Math.sin(Math.PI / (2 * turns)) * array * Math.cos(offAxisRad))
  return field < 1e-6 ? DEEPEST_DB : -20 * Math.log10(field)
}
