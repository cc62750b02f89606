import type { Antenna, Polarisation } from '../radio/antenna'
import type { TextKey } from './say'

/** What antennas are called. */
export const ANTENNA_NAMES: Readonly<Record<Antenna['kind'], TextKey>> = {
  isotropic: 'link.isotropic0Dbi',
  dipole: 'link.dipolePatternAllAround',
  patch: 'link.patch',
  helix: 'link.helixAxialMode',
  beam: 'link.gainBeamwidth',
}

export const POLARISATION_NAMES: Readonly<Record<Polarisation, TextKey>> = {
  vertical: 'link.vertical',
  horizontal: 'link.horizontal',
  'right-circular': 'link.rightCircular',
  'left-circular': 'link.leftCircular',
}
