import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import {
  bullingtonDb,
  bullingtonLossDb,
  deltaBullington,
  knifeEdgeLossDb,
  knifeEdgeNu,
  smoothBullingtonDb,
  sphericalEarthLossDb,
  tabulatedEdgeLossDb,
} from '../../core/propagation/diffraction'
import { fastDecibels } from '../../core/propagation/decibels'
import { sharedFile } from '../support/places'

interface Cases {
  readonly source: string
  readonly effective_earth_radius_km: number
  readonly profiles: Record<string, { d: number[]; h: number[] }>
  readonly cases: {
    path: number
    f_ghz: number
    h_tx_agl_m: number
    h_rx_agl_m: number
    L_bullington_actual_db: number
    L_bullington_smooth_db: number
    L_spherical_db: number
    L_delta_bullington_db: number
  }[]
}

const file = sharedFile('reference/delta-bullington.json')
const published = file ? (JSON.parse(readFileSync(file, 'utf8')) as Cases) : null

describe('delta-Bullington', () => {
  test.skipIf(!published)(
    file
      ? 'all validation cases of ITU-R Study Group 3 (Rec. ITU-R P.526, 4.5), each figure within 0.1 dB'
      : 'skipped: no ../shared/reference',
    () => {
      const { cases, profiles, effective_earth_radius_km: radiusKm } = published!
      let passed = 0
      for (const each of cases) {
        const { d, h } = profiles[each.path]
        const found = deltaBullington(
          {
            distanceM: d.map((km) => km * 1000),
            surfaceM: h,
            fromAmslM: h[0] + each.h_tx_agl_m,
            toAmslM: h[h.length - 1] + each.h_rx_agl_m,
            effectiveRadiusM: radiusKm * 1000,
          },
          // The examples take the speed of light as 0.2998 m GHz.
          { wavelengthM: 0.2998 / each.f_ghz, polarisation: 'horizontal' },
        )
        const off = [
          found.bullingtonDb - each.L_bullington_actual_db,
          found.smoothBullingtonDb - each.L_bullington_smooth_db,
          found.sphericalDb - each.L_spherical_db,
          found.totalDb - each.L_delta_bullington_db,
        ]
        if (off.every((db) => Math.abs(db) < 0.1)) passed++
        else console.log(each, off)
      }
      console.log(`delta-Bullington: ${passed} of ${cases.length} published cases within 0.1 dB`)
      expect(passed).toBe(cases.length)
    },
  )
})

describe('one knife edge', () => {
  // Rec. ITU-R P.526, figure and approximation of J(nu).
  test('grazing costs 6 dB, nothing below -0.78', () => {
    expect(knifeEdgeLossDb(0)).toBeCloseTo(6.0, 1)
    expect(knifeEdgeLossDb(-0.78)).toBeCloseTo(0, 1)
    expect(knifeEdgeLossDb(-2)).toBe(0)
    // Far up the curve J tends to 12.9 + 20 log nu.
    expect(knifeEdgeLossDb(10)).toBeCloseTo(12.9 + 20, 0)
  })

  test('0.6 of the first Fresnel radius free is nu = -0.85: no loss', () => {
    const [d1, d2, wavelength] = [2000, 3000, 0.0517]
    const radius = Math.sqrt((wavelength * d1 * d2) / (d1 + d2))
    expect(knifeEdgeNu(-0.6 * radius, d1, d2, wavelength)).toBeCloseTo(-0.6 * Math.SQRT2, 9)
    expect(knifeEdgeLossDb(-0.6 * Math.SQRT2)).toBe(0)
  })

  test('decibels by the bits of a number as by the logarithm', () => {
    for (let exact = -60; exact < 140; exact += 0.0137) {
      expect(Math.abs(fastDecibels(10 ** (exact / 10)) - exact)).toBeLessThan(0.001)
    }
    for (const octave of [-8, -1, 0, 1, 30]) {
      expect(fastDecibels(2 ** octave)).toBeCloseTo(10 * Math.log10(2 ** octave), 9)
    }
  })

  test('from the table as by the formulas', () => {
    for (let nu = 0; nu < 1500; nu += nu < 3 ? 0.013 : 3.7) {
      const exact = bullingtonLossDb(knifeEdgeLossDb(nu), 9000)
      expect(Math.abs(tabulatedEdgeLossDb(nu * nu, 9000) - exact)).toBeLessThan(0.02)
    }
  })

  test('a single ridge on flat ground: the construction finds that ridge', () => {
    const count = 401
    const distanceM = Array.from({ length: count }, (_, i) => i * 10)
    const surfaceM = distanceM.map((d) => (d === 1500 ? 60 : 0))
    const flatEarth = { effectiveRadiusM: 1e12 }
    const loss = bullingtonDb(
      { distanceM, surfaceM, fromAmslM: 20, toAmslM: 30, ...flatEarth },
      0.0517,
    )
    const above = 60 - (20 + (10 * 1500) / 4000)
    const edge = knifeEdgeLossDb(knifeEdgeNu(above, 1500, 2500, 0.0517))
    expect(loss).toBeCloseTo(edge + (1 - Math.exp(-edge / 6)) * (10 + 0.02 * 4), 6)
  })
})

describe('the spherical Earth', () => {
  test('in closed form costs what the construction finds along its sampled bulge', () => {
    const [effectiveRadiusM, wavelengthM, samples] = [8_500_000, 0.345, 20_000]
    let felt = 0
    for (const fromM of [1.5, 8, 60, 700]) {
      for (const toM of [2, 30, 250]) {
        for (const km of [0.5, 4, 12, 40, 90]) {
          const length = km * 1000
          const distanceM = Array.from({ length: samples + 1 }, (_, i) => (i * length) / samples)
          // A profile without ground: the construction adds the bulge itself.
          const path = { distanceM, surfaceM: distanceM.map(() => 0), effectiveRadiusM }
          const ends = { fromAmslM: fromM, toAmslM: toM }
          const sampled = bullingtonDb({ ...path, ...ends }, wavelengthM)
          const found = smoothBullingtonDb(fromM, toM, length, effectiveRadiusM, wavelengthM)
          expect(Math.abs(found - sampled), `${fromM} ${toM} ${km}`).toBeLessThan(0.01)
          if (found > 0) felt++
        }
      }
    }
    expect(felt).toBeGreaterThan(15)
  })

  const radio = { wavelengthM: 0.3, polarisation: 'vertical' } as const
  test('costs more with distance, less with height, nothing high above', () => {
    const at = (from: number, to: number, km: number) =>
      sphericalEarthLossDb(from, to, km * 1000, 8_500_000, radio)
    expect(at(10, 10, 60)).toBeGreaterThan(at(10, 10, 40))
    expect(at(30, 30, 60)).toBeLessThan(at(10, 10, 60))
    expect(at(200, 200, 10)).toBe(0)
    // An antenna on the ground itself still has an answer.
    expect(at(0, 50, 10)).toBeGreaterThan(at(2, 50, 10))
    expect(Number.isFinite(at(-3, 0, 10))).toBe(true)
  })
})
