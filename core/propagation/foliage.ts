/**
 * Loss of a path through leaves, dB, by the length inside them: 0.2 f^0.3 d^0.6 with f in MHz and
 * d in metres, made for 200 MHz to 95 GHz and up to 400 m.
 * Source: CCIR Report 236, the simple rule that Rec. ITU-R P.833 grew out of (from memory). Longer
 * stretches are held at 400 m, beyond which the path over the trees carries more.
 */
export function foliageLossDb(lengthM: number, frequencyMhz: number): number {
  if (lengthM <= 0) return 0
  return 0.2 * frequencyMhz ** 0.3 * Math.min(lengthM, LONGEST_M) ** 0.6
}

const LONGEST_M = 400
