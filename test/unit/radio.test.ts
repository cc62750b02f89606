import { describe, expect, test } from 'vitest'
import { PilotError } from '../../core/errors'
import { foliageLossDb } from '../../core/propagation/foliage'
import { freeSpaceLossDb, wavelengthM } from '../../core/propagation/freeSpace'
import { pathProfile } from '../../core/propagation/path'
import {
  AimedAntenna,
  helixAt,
  peakGainDbi,
  polarisationLossDb,
  type Antenna,
} from '../../core/radio/antenna'
import { eirpDbm, LinkGains, linkBudget } from '../../core/radio/budget'
import {
  dbmFromMw,
  linkWarnings,
  mwFromDbm,
  readLink,
  writeLink,
  type Link,
} from '../../core/radio/link'
import { ClassCount, directionTables, marginClass } from '../../core/radio/margin'
import { azimuthOf, directionOf, elevationOf } from '../../core/coverage/pathField'
import { judgeNearby } from '../../core/radio/ownTransmitter'
import { geometryOfPath, pathBudget, pathLosses } from '../../core/radio/pathBudget'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { whatIf } from '../../core/radio/whatIf'
import { buildSurface } from '../../core/surface/surface'
import { say } from '../../core/words/say'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'

const LAMBDA = wavelengthM(5800)
const AHEAD = { azimuthDeg: 90, tiltDeg: 0 }

describe('free space', () => {
  test('twice the distance costs 6.02 dB (Rec. ITU-R P.525)', () => {
    expect(freeSpaceLossDb(8000, 5800) - freeSpaceLossDb(4000, 5800)).toBeCloseTo(6.02, 2)
  })
})

describe('antennas', () => {
  const helix: Antenna = {
    kind: 'helix',
    polarisation: 'right-circular',
    turns: 10,
    circumferenceM: LAMBDA,
    pitchM: 0.25 * LAMBDA,
  }

  test('a helix by hand: 10 turns, one wavelength around, a quarter apart (J. D. Kraus, Antennas)', () => {
    // Gain 15 C^2 n S = 15 * 10 * 0.25 = 37.5, or 15.7 dBi; beamwidth 52 / sqrt(2.5) = 32.9 degrees.
    const { gainDbi, beamwidthDeg, isAxialMode } = helixAt(helix, LAMBDA)
    expect(gainDbi).toBeCloseTo(15.74, 2)
    expect(beamwidthDeg).toBeCloseTo(32.9, 1)
    expect(isAxialMode).toBe(true)
    // His pattern falls by 3 dB at about half that beamwidth off the axis.
    const aimed = AimedAntenna.of(helix, AHEAD, LAMBDA)
    expect(aimed.gainDbi(90, 0)).toBeCloseTo(15.74, 1)
    const fall = aimed.gainDbi(90, 0) - aimed.gainDbi(90 + 32.9 / 2, 0)
    expect(fall).toBeGreaterThan(2)
    expect(fall).toBeLessThan(4.5)
    expect(aimed.gainDbi(270, 0)).toBeLessThan(0)
  })

  test('a half-wave dipole: 2.15 dBi around it, nothing along it, -3 dB at 39 degrees', () => {
    const dipole = AimedAntenna.of(
      { kind: 'dipole', polarisation: 'vertical' },
      { azimuthDeg: 0, tiltDeg: 0 },
      LAMBDA,
    )
    expect(dipole.gainDbi(123, 0)).toBeCloseTo(2.15, 2)
    expect(dipole.gainDbi(0, 39)).toBeCloseTo(2.15 - 3, 0)
    expect(dipole.gainDbi(0, 90)).toBeLessThan(-20)
  })

  test.each(['patch', 'beam'] as const)('a %s is 3 dB down at half its beamwidth', (kind) => {
    const antenna: Antenna = { kind, polarisation: 'vertical', gainDbi: 9, beamwidthDeg: 60 }
    const aimed = AimedAntenna.of(antenna, { azimuthDeg: 350, tiltDeg: 10 }, LAMBDA)
    expect(aimed.gainDbi(350, 10)).toBeCloseTo(9, 2)
    expect(aimed.gainDbi(350, 40)).toBeCloseTo(6, 1)
    expect(aimed.gainDbi(350, -20)).toBeCloseTo(6, 1)
    expect(aimed.gainDbi(170, -10)).toBeLessThan(-9)
    expect(peakGainDbi(antenna, LAMBDA)).toBe(9)
  })

  test('polarisations: 3 dB from linear to circular, nothing between equals, much when crossed', () => {
    expect(polarisationLossDb('vertical', 'right-circular')).toBeCloseTo(3.01, 2)
    expect(polarisationLossDb('left-circular', 'horizontal')).toBeCloseTo(3.01, 2)
    expect(polarisationLossDb('left-circular', 'left-circular')).toBe(0)
    // Common practice, no source: what crossed antennas of this kind leave.
    expect(polarisationLossDb('left-circular', 'right-circular')).toBe(20)
    expect(polarisationLossDb('vertical', 'horizontal')).toBe(20)
  })
})

describe('budgets', () => {
  const toward = (slantM: number) => ({ slantM, azimuthDeg: 0, elevationDeg: 5 })
  const NOTHING = { diffractionDb: 0, foliageDb: 0 }

  test('the items add up from power to level, and the level less sensitivity is the margin', () => {
    for (const link of [...VIDEO_PRESETS, ...CONTROL_PRESETS]) {
      const extra = { diffractionDb: 7, foliageDb: 2 }
      const { items, powerDbm, receivedDbm, marginDb } = linkBudget(link, toward(3000), extra)
      const sum = items.reduce((level, { db }) => level + db, powerDbm)
      expect(receivedDbm).toBeCloseTo(sum, 9)
      expect(marginDb).toBeCloseTo(receivedDbm - link.sensitivityDbm, 9)
      const clear = linkBudget(link, toward(3000), NOTHING)
      expect(clear.marginDb - marginDb).toBeCloseTo(9, 9)
      // The sending side comes first.
      const first = link.direction === 'down' ? 'Aircraft feeder' : 'Ground feeder'
      expect(say(items[0].label)).toBe(first)
    }
  })

  test.each([
    [25, 3],
    [200, 5],
    [500, 7],
  ])(
    'common practice, no source: %d mW of 5.8 GHz video is flown to about %d km in clear sight',
    (mw, km) => {
      const link = VIDEO_PRESETS.find(({ powerDbm }) => Math.abs(powerDbm - dbmFromMw(mw)) < 0.01)!
      const { marginDb } = linkBudget(link, toward(km * 1000), NOTHING)
      expect(marginDb).toBeGreaterThan(-6)
      expect(marginDb).toBeLessThan(10)
    },
  )

  test('the best ground antenna wins, and says which it is', () => {
    const link = VIDEO_PRESETS[0]
    const at = (azimuthDeg: number) => linkBudget(link, { ...toward(2000), azimuthDeg }, NOTHING)
    expect(at(0).branch).toBe(0)
    expect(at(180).branch).toBe(1)
    expect(at(0).marginDb).toBeGreaterThan(at(180).marginDb + 6)
    const branches = directionTables(link).branches
    expect(branches[directionOf(0, 5)]).toBe(0)
    expect(branches[directionOf(180, 5)]).toBe(1)
  })

  test('the aircraft overhead is in the null of an upright antenna', () => {
    const link = CONTROL_PRESETS[0]
    const at = (elevationDeg: number) => linkBudget(link, { ...toward(500), elevationDeg }, NOTHING)
    expect(at(85).marginDb).toBeLessThan(at(5).marginDb - 20)
  })

  test('EIRP is power less feeder plus the best antenna of the sending side', () => {
    const [video, control] = [VIDEO_PRESETS[1], CONTROL_PRESETS[0]]
    expect(eirpDbm(video)).toBeCloseTo(video.powerDbm - 0.5 + 2.15, 2)
    expect(eirpDbm(control)).toBeCloseTo(20 - 0.5 + 2.15, 2)
    expect(mwFromDbm(dbmFromMw(250))).toBeCloseTo(250, 9)
  })

  test('a table of margins by direction agrees with the budget', () => {
    const link = VIDEO_PRESETS[1]
    const table = directionTables(link).marginDb
    for (const [azimuthDeg, elevationDeg] of [
      [0, 5],
      [42, -3],
      [359, 74],
      [181, 0],
    ]) {
      const direction = directionOf(azimuthDeg, elevationDeg)
      expect(azimuthOf(direction)).toBeCloseTo(azimuthDeg, 9)
      expect(elevationOf(direction)).toBe(elevationDeg)
      const exact = linkBudget(link, { slantM: 2500, azimuthDeg, elevationDeg }, NOTHING).marginDb
      expect(table[direction] - freeSpaceLossDb(2500, 5800)).toBeCloseTo(exact, 3)
    }
    expect([marginClass(7, 6), marginClass(6, 6), marginClass(0, 6), marginClass(-0.1, 6)]).toEqual(
      [...[0, 0, 1, 2]],
    )
  })
})

describe('tables by direction', () => {
  test('hold what is asked for one direction at a time, of every kind of antenna', () => {
    for (const link of [...VIDEO_PRESETS, ...CONTROL_PRESETS]) {
      const gains = new LinkGains(link)
      const { marginDb, branches } = directionTables(link)
      for (let direction = 0; direction < marginDb.length; direction += 7) {
        const [azimuth, elevation] = [azimuthOf(direction), elevationOf(direction)]
        const exact = gains.fixedDb + gains.netDb(azimuth, elevation)
        if (Math.abs(marginDb[direction] - exact) > 1e-4) {
          expect.fail(
            `${link.name} toward ${azimuth}, ${elevation}: ${marginDb[direction]}, ${exact}`,
          )
        }
        const best = gains.bestBranch(azimuth, elevation)
        const netOf = (its: number) =>
          gains.groundDbi(its, azimuth, elevation) - link.branches[its].feederLossDb
        // Two alike are told apart by rounding alone.
        if (branches[direction] !== best) {
          expect(netOf(branches[direction])).toBeCloseTo(netOf(best), 6)
        }
      }
    }
  })

  test('classes counted in parts are those of every cell, the worst link in each', () => {
    const tables = { marginDb: Float32Array.of(120, 100), branches: new Uint8Array(2) }
    const over = (lossDb: number[], fadeMarginDb: number) => ({
      ...tables,
      fadeMarginDb,
      paths: {
        lossDb: Float32Array.from(lossDb),
        directions: Uint16Array.from(lossDb, (_, cell) => cell % 2),
      },
    })
    // Margins: 20, 5, -1, none, 10, none; and 20, 20, 20, -5, 4, none.
    const strong = over([100, 95, 121, NaN, 110, NaN], 6)
    const weak = over([100, 80, 100, 105, 116, NaN], 6)
    expect(sharesOf([strong], 1)).toEqual([2 / 4, 1 / 4, 1 / 4])
    expect(sharesOf([strong, weak], 1)).toEqual([1 / 5, 2 / 5, 2 / 5])
    expect(sharesOf([strong, weak], 2)).toEqual([1 / 3, 1 / 3, 1 / 3])
  })

  function sharesOf(links: ConstructorParameters<typeof ClassCount>[0], stride: number) {
    const count = new ClassCount(links, stride)
    let parts = 1
    while (count.goOn(2)) parts++
    expect(parts).toBe(Math.ceil(6 / stride / 2))
    return count.shares
  }
})

describe('links as files', () => {
  test('go out and come back the same', () => {
    for (const link of [...VIDEO_PRESETS, ...CONTROL_PRESETS]) {
      expect(readLink(writeLink(link), 'x.json')).toEqual(link)
    }
    const inMw = { ...JSON.parse(writeLink(VIDEO_PRESETS[0])), power_dbm: undefined, power_mw: 100 }
    expect(readLink(JSON.stringify(inMw), 'mw.json').powerDbm).toBeCloseTo(20, 9)
  })

  const changed = (change: (file: Record<string, never>) => void) => {
    const file = JSON.parse(writeLink(VIDEO_PRESETS[0])) as Record<string, never>
    change(file)
    return JSON.stringify(file)
  }
  test.each([
    ['no json', 'holiday', /"link.json" cannot be read as JSON/],
    [
      '0 mW',
      changed((f) => Object.assign(f, { power_dbm: undefined, power_mw: 0 })),
      /power_mw must be above 0 mW/,
    ],
    ['power twice', changed((f) => Object.assign(f, { power_mw: 25 })), /must give the power once/],
    [
      '300 dBi',
      changed((f) =>
        Object.assign(f, {
          ground: [
            {
              antenna: { kind: 'beam', polarisation: 'vertical', gain_dbi: 300, beamwidth_deg: 9 },
            },
          ],
        }),
      ),
      /ground.0.antenna.gain_dbi must be 40 dBi or less/,
    ],
    [
      'an unknown antenna',
      changed((f) => Object.assign(f.aircraft, { antenna: { kind: 'coat hanger' } })),
      /aircraft.antenna/,
    ],
    [
      'no ground antenna',
      changed((f) => Object.assign(f, { ground: [] })),
      /ground needs at least one antenna/,
    ],
    [
      'out of band',
      changed((f) => Object.assign(f, { frequency_mhz: 90 })),
      /frequency_mhz must be 400 MHz or more/,
    ],
  ])('%s is refused with a sentence', (_what, text, sentence) => {
    expect(() => readLink(text, 'link.json')).toThrow(sentence)
    expect(() => readLink(text, 'link.json')).toThrow(PilotError)
  })

  test('a helix outside axial mode is said, with the range', () => {
    expect(linkWarnings(VIDEO_PRESETS[0])).toEqual([])
    const low = { ...VIDEO_PRESETS[0], frequencyMhz: 2400 }
    expect(linkWarnings(low)[0]).toMatch(/0.43 wavelengths around .* 0.75 to 1.33 wavelengths/)
  })
})

describe('foliage', () => {
  test('the rule by hand: 10 m at 5.8 GHz (CCIR Report 236, from memory)', () => {
    expect(foliageLossDb(10, 5800)).toBeCloseTo(0.2 * 5800 ** 0.3 * 10 ** 0.6, 9)
    expect(foliageLossDb(10, 5800)).toBeCloseTo(10.7, 1)
    expect(foliageLossDb(0, 5800)).toBe(0)
    expect(foliageLossDb(5000, 5800)).toBe(foliageLossDb(400, 5800))
  })

  test('vegetation is in the way as if solid, or costs as it is passed', () => {
    const flat = madeTerrain(201, 30, () => 100)
    const surface = buildSurface(flat, { heightM: 15, treeLineM: null }, null, [])
    const profile = pathProfile(
      flat,
      { ...placeOn(flat, 0, 0), label: 'launch point', heightM: 8 },
      { ...placeOn(flat, 1500, 0), label: 'target', heightM: 40 },
      VIDEO_LINK,
      { ...surface, clearingM: 30 },
    )
    const solid = pathLosses(profile, 5800, 4 / 3, 'vertical', 'solid')
    const lossy = pathLosses(profile, 5800, 4 / 3, 'vertical', 'lossy')
    expect(solid.foliageDb).toBe(0)
    expect(solid.diffraction.bullingtonDb).toBeGreaterThan(6)
    expect(lossy.diffraction.bullingtonDb).toBe(0)
    // From 30 m out until the ray is 15 m up: (15 - 8) / 32 of the way.
    expect(lossy.foliageM).toBeCloseTo((7 / 32) * 1500 - 30, -2)
    expect(lossy.foliageDb).toBeCloseTo(foliageLossDb(lossy.foliageM, 5800), 9)
  })
})

describe('what would help', () => {
  const hill = madeTerrain(301, 25, (east) => (east > 1500 && east < 1700 ? 140 : 100))
  const link = { ...VIDEO_PRESETS[1], branches: [VIDEO_PRESETS[1].branches[0]] }
  const at = (heightM: number) =>
    pathProfile(
      hill,
      { ...placeOn(hill, 0, 0), label: 'launch point', heightM: 2 },
      { ...placeOn(hill, 3000, 0), label: 'target', heightM },
      VIDEO_LINK,
    )
  const marginOf = (profile: ReturnType<typeof at>, its: Link) =>
    pathBudget(profile, its, VIDEO_LINK.kFactor, 'solid').marginDb

  test('height, power and turn each do what they say', () => {
    const now = marginOf(at(30), link)
    const found = whatIf(link, geometryOfPath(at(30), VIDEO_LINK.kFactor), 30, at, marginOf)
    expect(found.missingDb).toBeCloseTo(link.fadeMarginDb - now, 6)
    const stronger = { ...link, powerDbm: dbmFromMw(found.powerMw) }
    expect(marginOf(at(30), stronger)).toBeCloseTo(link.fadeMarginDb, 6)
    const { turn } = found
    const aimed = {
      ...link,
      branches: [
        { ...link.branches[0], aim: { azimuthDeg: turn!.azimuthDeg, tiltDeg: turn!.tiltDeg } },
      ],
    }
    expect(marginOf(at(30), aimed)).toBeCloseTo(turn!.marginDb, 6)
    expect(turn!.turnDeg).toBeCloseTo(90, -1)
    const withTurn = whatIf(aimed, geometryOfPath(at(30), VIDEO_LINK.kFactor), 30, at, marginOf)
    expect(withTurn.turn).toBeNull()
    if (withTurn.heightM !== null) {
      expect(marginOf(at(withTurn.heightM), aimed)).toBeGreaterThanOrEqual(aimed.fadeMarginDb)
      expect(marginOf(at(withTurn.heightM - 2), aimed)).toBeLessThan(aimed.fadeMarginDb)
    }
  })
})

describe('own transmitter beside the receiver', () => {
  const given = {
    transmitterMhz: 2440,
    transmitterDbm: 20,
    harmonicSuppressionDb: 50,
    receiverMhz: 5800,
    channelWidthMhz: 20,
    separationM: 1,
  }

  test('the carrier as it arrives, by hand', () => {
    // 20 dBm less free space over 1 m at 2.44 GHz (40.2 dB).
    expect(judgeNearby(given).carrierDbm).toBeCloseTo(-20.2, 1)
    expect(judgeNearby(given).harmonic).toBeNull()
    expect(judgeNearby({ ...given, separationM: 0.3 }).isHarmful).toBe(true)
  })

  test('the carrier in the receiver\u2019s own channel does harm far off', () => {
    const same = judgeNearby({ ...given, transmitterMhz: 5800, separationM: 5 })
    expect(same.isHarmful).toBe(true)
    expect(same.harmonic!.order).toBe(1)
    expect(same.separationNeededM).toBeGreaterThan(1000)
  })

  test('a harmonic in the channel, and the separation that brings it under the noise', () => {
    // 2.9 GHz doubled is 5.8 GHz; noise over 20 MHz is -174 + 73 + 6 = -95 dBm.
    const caught = { ...given, transmitterMhz: 2900 }
    const verdict = judgeNearby(caught)
    expect(verdict.noiseDbm).toBeCloseTo(-95, 1)
    expect(verdict.harmonic!.order).toBe(2)
    expect(verdict.isHarmful).toBe(true)
    const apart = judgeNearby({ ...caught, separationM: verdict.separationNeededM * 1.01 })
    expect(apart.harmonic!.levelDbm).toBeLessThan(apart.noiseDbm)
    expect(apart.isHarmful).toBe(false)
  })
})
