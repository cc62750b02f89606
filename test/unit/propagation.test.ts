import { describe, expect, test } from 'vitest'
import { firstFresnelRadiusM, USUAL_FRESNEL_FRACTION } from '../../core/propagation/fresnel'
import { freeSpaceLossDb, wavelengthM } from '../../core/propagation/freeSpace'

describe('free-space loss', () => {
  // Rec. ITU-R P.525: L = 32.4 + 20 log f + 20 log d, f in MHz, d in km (the constant is rounded
  // to a tenth there; 32.45 unrounded).
  test.each([
    [1, 5800, 107.7],
    [5, 5800, 121.7],
    [7, 2400, 116.9],
    [10, 900, 111.5],
  ])('%d km at %d MHz is %d dB', (km, mhz, db) => {
    expect(freeSpaceLossDb(km * 1000, mhz)).toBeCloseTo(db, 0)
    const formula = 32.4 + 20 * Math.log10(mhz) + 20 * Math.log10(km)
    expect(Math.abs(freeSpaceLossDb(km * 1000, mhz) - formula)).toBeLessThan(0.06)
  })

  test('doubling the distance costs 6.02 dB', () => {
    expect(freeSpaceLossDb(4000, 5800) - freeSpaceLossDb(2000, 5800)).toBeCloseTo(6.0206, 4)
  })
})

describe('first Fresnel radius', () => {
  // Rec. ITU-R P.526, 2: R1 = 550 sqrt(d1 d2 / ((d1 + d2) f)), km and MHz; and Rec. ITU-R P.530:
  // F1 = 17.3 sqrt(d1 d2 / (f d)), km and GHz.
  test.each([
    [1, 4, 5800],
    [2.5, 2.5, 5800],
    [10, 30, 868],
  ])('d1 %d km, d2 %d km at %d MHz', (d1, d2, mhz) => {
    const ours = firstFresnelRadiusM(d1 * 1000, d2 * 1000, wavelengthM(mhz))
    expect(ours / (550 * Math.sqrt((d1 * d2) / ((d1 + d2) * mhz)))).toBeCloseTo(1, 2)
    expect(ours / (17.3 * Math.sqrt((d1 * d2) / ((mhz / 1000) * (d1 + d2))))).toBeCloseTo(1, 2)
  })

  test('the usual clearance is 0.6 of it (Rec. ITU-R P.526 and P.530)', () => {
    expect(USUAL_FRESNEL_FRACTION).toBe(0.6)
    // 5 km at 5.8 GHz: 8.04 m in the middle, of which 4.82 m must stay free.
    const radius = firstFresnelRadiusM(2500, 2500, wavelengthM(5800))
    expect(radius).toBeCloseTo(8.04, 2)
    expect(USUAL_FRESNEL_FRACTION * radius).toBeCloseTo(4.82, 2)
  })
})
