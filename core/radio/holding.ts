/**
 * Share of the moments in which a link holds, when its level scatters normally around what is
 * predicted. Source of the error function: M. Abramowitz, I. A. Stegun, Handbook of Mathematical
 * Functions (1964), 7.1.26, good to 1.5e-7 (from memory; checked in test/unit/radio.test.ts).
 */
export function holdingShare(marginDb: number, spreadDb: number): number {
  if (spreadDb === 0) return marginDb >= 0 ? 1 : 0
  const z = marginDb / spreadDb / Math.SQRT2
  const t = 1 / (1 + 0.3275911 * Math.abs(z))
  const polynomial =
    t *
    (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
  const erf = 1 - polynomial * Math.exp(-z * z)
  return 0.5 * (1 + Math.sign(z) * erf)
}
