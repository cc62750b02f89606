import type { Antenna, Polarisation } from '../radio/antenna'

/** What antennas are called. */
export const ANTENNA_NAMES: Readonly<Record<Antenna['kind'], string>> = {
  isotropic: 'Isotropic (0 dBi)',
  dipole: 'Dipole pattern, all around',
  patch: 'Patch',
  helix: 'Helix, axial mode',
  beam: 'Gain and beamwidth',
}

export const POLARISATION_NAMES: Readonly<Record<Polarisation, string>> = {
  vertical: 'vertical',
  horizontal: 'horizontal',
  'right-circular': 'right circular',
  'left-circular': 'left circular',
}
