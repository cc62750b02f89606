import { dbmFromMw, type Link } from './link'
import type { Antenna } from './antenna'

/** Wavelength at 5.8 GHz is 51.7 mm: a helix one wavelength around, wound at 13 degrees. */
const HELIX_5G8: Antenna = {
  kind: 'helix',
  polarisation: 'right-circular',
  turns: 7,
  circumferenceM: 0.054,
  pitchM: 0.0125,
}
const AROUND: Antenna = { kind: 'dipole', polarisation: 'right-circular' }
const WHIP: Antenna = { kind: 'dipole', polarisation: 'vertical' }

/** No flight was compared with these yet. */
const UNMEASURED = { excessLossDb: 0, spreadDb: null }

/**
 * Typical links to begin with; none is any maker's product. Common practice, no source: a 5.8 GHz
 * picture of such a receiver holds to about -90 dBm, and is flown in clear sight with high-gain
 * ground antennas to about 3 km on 25 mW, 5 km on 200 mW and 7 km on 500 mW.
 */
function video(mw: number): Link {
  return {
    name: `Video 5.8 GHz, ${mw} mW (typical)`,
    direction: 'down',
    frequencyMhz: 5800,
    powerDbm: dbmFromMw(mw),
    branches: [
      { antenna: HELIX_5G8, aim: { azimuthDeg: 0, tiltDeg: 5 }, feederLossDb: 0.5 },
      { antenna: AROUND, aim: { azimuthDeg: 0, tiltDeg: 0 }, feederLossDb: 0.5 },
    ],
    aircraft: { antenna: AROUND, feederLossDb: 0.5 },
    bodyLossDb: 1,
    sensitivityDbm: -90,
    fadeMarginDb: 6,
    ...UNMEASURED,
  }
}

function control(name: string, frequencyMhz: number, mw: number, sensitivityDbm: number): Link {
  return {
    name,
    direction: 'up',
    frequencyMhz,
    powerDbm: dbmFromMw(mw),
    branches: [{ antenna: WHIP, aim: { azimuthDeg: 0, tiltDeg: 0 }, feederLossDb: 0.5 }],
    aircraft: { antenna: WHIP, feederLossDb: 0.5 },
    bodyLossDb: 2,
    sensitivityDbm,
    fadeMarginDb: 10,
    ...UNMEASURED,
  }
}

export const VIDEO_PRESETS: readonly Link[] = [video(25), video(200), video(500)]
export const CONTROL_PRESETS: readonly Link[] = [
  control('Control 2.4 GHz, 100 mW (typical)', 2440, 100, -103),
  control('Control 868 MHz, 25 mW (typical)', 868, 25, -112),
  control('Control 915 MHz, 100 mW (typical)', 915, 100, -112),
]
