/** Speed of light in vacuum, exact by definition of the metre. */
const SPEED_OF_LIGHT_M_S = 299792458

export function wavelengthM(frequencyMhz: number): number {
  return SPEED_OF_LIGHT_M_S / (frequencyMhz * 1e6)
}

/**
 * Basic transmission loss in free space between isotropic antennas, dB.
 * Source: Rec. ITU-R P.525, 20 log10(4 pi d / lambda).
 */
export function freeSpaceLossDb(distanceM: number, frequencyMhz: number): number {
  return 20 * Math.log10((4 * Math.PI * distanceM) / wavelengthM(frequencyMhz))
}
