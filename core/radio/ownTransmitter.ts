import { freeSpaceLossDb, wavelengthM } from '../propagation/freeSpace'

/** A transmitter beside a receiver, as one pilot carries both. */
export interface NearbyTransmitter {
  readonly transmitterMhz: number
  readonly transmitterDbm: number
  /** How far its harmonics lie under its carrier, dB. */
  readonly harmonicSuppressionDb: number
  readonly receiverMhz: number
  readonly channelWidthMhz: number
  /** Between the two antennas, metres. */
  readonly separationM: number
}

export interface NearbyVerdict {
  /** Carrier as it arrives at the receiver, and the level that dulls such a receiver, dBm. */
  readonly carrierDbm: number
  readonly dullingDbm: number
  /** The harmonic in the receiver's channel; null where none falls there. */
  readonly harmonic: {
    readonly order: number
    readonly frequencyMhz: number
    readonly levelDbm: number
  } | null
  readonly noiseDbm: number
  /** Least separation at which neither does harm, metres. */
  readonly separationNeededM: number
  readonly isHarmful: boolean
}

/** Thermal noise in a hertz at room temperature: -174 dBm (k T at 290 K). */
const THERMAL_DBM_HZ = -174
/** Common practice, no source: noise figure of such a receiver, and the carrier that dulls it. */
const NOISE_FIGURE_DB = 6
const DULLING_DBM = -20
/** Harmonics above this order are too weak to matter. */
const LAST_HARMONIC = 8

/**
 * Estimates what a transmitter does to a receiver close by: isotropic antennas, free space, held
 * at one wavelength where they are nearer. Real coupling is several dB off either way.
 */
export function judgeNearby(given: NearbyTransmitter): NearbyVerdict {
  const { transmitterMhz, transmitterDbm, receiverMhz, channelWidthMhz, separationM } = given
  const lossDb = (frequencyMhz: number) =>
    freeSpaceLossDb(Math.max(separationM, wavelengthM(frequencyMhz)), frequencyMhz)
  const carrierDbm = transmitterDbm - lossDb(transmitterMhz)
  const noiseDbm = THERMAL_DBM_HZ + 10 * Math.log10(channelWidthMhz * 1e6) + NOISE_FIGURE_DB
  const order = Math.round(receiverMhz / transmitterMhz)
  const frequencyMhz = order * transmitterMhz
  const isInChannel =
    order >= 1 &&
    order <= LAST_HARMONIC &&
    Math.abs(frequencyMhz - receiverMhz) <= channelWidthMhz / 2
  // The carrier itself, order 1, is not suppressed.
  const harmonicDbm = transmitterDbm - (order === 1 ? 0 : given.harmonicSuppressionDb)
  const harmonic = isInChannel
    ? { order, frequencyMhz, levelDbm: harmonicDbm - lossDb(frequencyMhz) }
    : null
  const separationNeededM = Math.max(
    separationFor(transmitterDbm - DULLING_DBM, transmitterMhz),
    harmonic ? separationFor(harmonicDbm - noiseDbm, frequencyMhz) : 0,
  )
  return {
    carrierDbm,
    dullingDbm: DULLING_DBM,
    harmonic,
    noiseDbm,
    separationNeededM,
    isHarmful: carrierDbm > DULLING_DBM || (harmonic !== null && harmonic.levelDbm > noiseDbm),
  }
}

/** Distance in free space that costs so much, metres. */
function separationFor(lossDb: number, frequencyMhz: number): number {
  return (wavelengthM(frequencyMhz) / (4 * Math.PI)) * 10 ** (lossDb / 20)
}
