import { describe, expect, test } from 'vitest'
import {
  airDensityRatio,
  GRAVITY,
  PowerModel,
  TYPICAL_AIRCRAFT,
  type Aircraft,
} from '../../core/energy/aircraft'
import { BATTERY_LIMITS, Pack, TYPICAL_BATTERY } from '../../core/energy/battery'
import { Flyer, flyRoute, type FlightSettings, type LegFlight } from '../../core/energy/flight'
import { monotoneCurve } from '../../core/energy/monotoneCurve'
import { reachM, returnShares } from '../../core/energy/returnArea'
import { WaysHome } from '../../core/energy/wayHome'
import { CALM, windSpeedMs, windTriangle } from '../../core/energy/wind'
import { NO_ROUTE, outAndBack, waypointAt, type Route } from '../../core/route/route'
import { routeLine } from '../../core/route/routeLine'
import { bareGround } from '../../core/surface/surface'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { madeTerrain, placeOn } from '../support/madeTerrain'
import { groundOf, sweepAll } from '../support/sweepAll'

const flat = madeTerrain(601, 30, () => 500)
/** 12.5 A at 40 km/h, and a climb worth half of what it costs. */
const STEADY: Aircraft = {
  ...TYPICAL_AIRCRAFT,
  cruise: [{ airspeedMs: 40 / 3.6, currentA: 12.5 }],
  climbEfficiency: 0.5,
}
const SETTINGS: FlightSettings = {
  aircraft: STEADY,
  battery: { ...TYPICAL_BATTERY, temperatureC: 20 },
  wind: CALM,
  airspeedMs: null,
}

/** A straight route over places east and north of the launch point, metres. */
function straightRoute(places: readonly (readonly [number, number])[], heightM = 60): Route {
  const waypoints = places.map(([e, n]) => waypointAt(placeOn(flat, e, n), heightM))
  return { ...NO_ROUTE, waypoints, takeOffHeightM: heightM }
}

function fly(route: Route, settings = SETTINGS, terrain: TerrainGrid = flat) {
  const locator = new GridLocator(terrain)
  const surface = bareGround(terrain)
  const launch = placeOn(terrain, 0, 0)
  const line = routeLine(terrain, locator, surface, launch, route)
  const flyer = new Flyer(settings)
  const flight = flyRoute(flyer, line)
  const ways = new WaysHome(terrain, locator, surface, flyer, line, flight, 15)
  const legs = flight.legs.filter((leg): leg is LegFlight => typeof leg !== 'string')
  return { line, flyer, flight, ways, legs }
}

describe('wind', () => {
  test('triangle of a published example', () => {
    // Source: instructions of a dead-reckoning computer, National Air and Space Museum archives,
    // NASM.XXXX.0136, example 16: course 94 degrees, true airspeed 165 mph, ground speed 146 mph,
    // correction 10 degrees to the right; read from the instrument: wind 34 mph from 154 degrees.
    const found = windTriangle(94, 165, 34, 154)
    expect(found?.correctionDeg).toBeCloseTo(10, 0)
    expect(Math.abs((found?.groundSpeedMs ?? 0) - 146)).toBeLessThan(1)
    expect(found?.headingDeg).toBeCloseTo(104, 0)
  })

  test('head, tail and cross wind by hand', () => {
    expect(windTriangle(90, 10, 4, 90)?.groundSpeedMs).toBeCloseTo(6, 9)
    expect(windTriangle(90, 10, 4, 270)?.groundSpeedMs).toBeCloseTo(14, 9)
    // A 3-4-5 triangle.
    const across = windTriangle(0, 5, 3, 90)
    expect(across?.groundSpeedMs).toBeCloseTo(4, 9)
    expect(across?.correctionDeg).toBeCloseTo(36.87, 2)
    expect(windTriangle(0, 5, 3, 270)?.correctionDeg).toBeCloseTo(-36.87, 2)
  })

  test('stronger than the aircraft there is no way', () => {
    expect(windTriangle(0, 8, 9, 0)).toBeNull()
    expect(windTriangle(0, 8, 9, 90)).toBeNull()
    expect(windTriangle(0, 8, 9, 180)?.groundSpeedMs).toBeCloseTo(17, 9)
    expect(windTriangle(0, 0, 0, 0)).toBeNull()
  })

  test('grows by the power law', () => {
    const wind = { speedMs: 5, fromDeg: 0, atHeightM: 10, exponent: 1 / 7 }
    expect(windSpeedMs(wind, 10)).toBe(5)
    // 12^(1/7) = 1.4262 by hand.
    expect(windSpeedMs(wind, 120)).toBeCloseTo(5 * 1.4262, 3)
    expect(windSpeedMs({ ...wind, exponent: 0 }, 120)).toBe(5)
  })
})

describe('power', () => {
  test('climb energy by hand: m g h over efficiency', () => {
    const model = new PowerModel({ ...STEADY, massKg: 0.9, climbEfficiency: 0.45 }, 4)
    // 0.9 kg * 9.80665 * 100 m / 0.45 = 1961.33 J
    expect(model.climbJ(100)).toBeCloseTo(1961.33, 2)
    expect(model.climbJ(-100)).toBe(0)
    expect(GRAVITY).toBe(9.80665)
  })

  test('passes through every measured point and none beyond', () => {
    const model = new PowerModel(TYPICAL_AIRCRAFT, 4)
    for (const { airspeedMs, currentA } of TYPICAL_AIRCRAFT.cruise) {
      expect(model.levelW(airspeedMs, 500)).toBeCloseTo(currentA * 14.8, 9)
    }
    expect(model.levelW(0, 500)).toBeCloseTo(TYPICAL_AIRCRAFT.hoverCurrentA * 14.8, 9)
    expect(model.levelW(15.1, 500)).toBeNaN()
  })

  test('thin air asks for more', () => {
    // Standard atmosphere (ISO 2533): 1.0066 kg/m3 at 2000 m, 1.2250 at sea level.
    expect(airDensityRatio(2000)).toBeCloseTo(1.0066 / 1.225, 3)
    const model = new PowerModel({ ...STEADY, measuredAtM: 0 }, 4)
    expect(model.levelW(0, 2000) / model.levelW(0, 0)).toBeCloseTo(1.1032, 3)
  })

  test('the curve between points rises where they rise and never overshoots', () => {
    const curve = monotoneCurve([0, 1, 2, 5], [3, 3, 4, 10])
    let before = 3
    for (let x = 0; x <= 5; x += 0.01) {
      expect(curve(x)).toBeGreaterThanOrEqual(before - 1e-9)
      expect(curve(x)).toBeLessThanOrEqual(10 + 1e-9)
      before = curve(x)
    }
    expect(curve(-1)).toBe(3)
  })

  test('the best airspeed: faster against the wind, slower with it', () => {
    const against = new Flyer({
      ...SETTINGS,
      aircraft: TYPICAL_AIRCRAFT,
      wind: { ...CALM, speedMs: 5, fromDeg: 0, exponent: 0 },
    })
    const [head, tail] = [against.bestAirspeedMs(0, 50), against.bestAirspeedMs(180, 50)]
    expect(head).toBeGreaterThan(tail ?? NaN)
    // Nothing tried does better, judged by brute force at a hundredth of the spacing.
    const cost = (speed: number) =>
      against.levelW(speed, 0) / (against.triangle(0, 50, speed)?.groundSpeedMs ?? NaN)
    for (let speed = 8; speed <= 15; speed += 0.0005) {
      expect(cost(speed)).toBeGreaterThan(cost(head ?? NaN) * 0.9995)
    }
  })

  test.each([
    [{ massKg: 0 }, /mass of the aircraft is 0 kg/],
    [{ cruise: [] }, /current at one airspeed/],
    [{ cruise: [{ airspeedMs: 0, currentA: 10 }] }, /airspeed is 0 m\/s; give a value from 0.5/],
    [
      {
        cruise: [
          { airspeedMs: 12, currentA: 12 },
          { airspeedMs: 9, currentA: 10 },
        ],
      },
      /must rise: 9 m\/s comes after 12 m\/s/,
    ],
    [{ climbEfficiency: 1.2 }, /climb efficiency is 1.2/],
  ])('says what is wrong with %o', (part, sentence) => {
    expect(() => new PowerModel({ ...STEADY, ...part }, 4)).toThrow(sentence)
  })
})

describe('pack', () => {
  const pack = new Pack({ ...TYPICAL_BATTERY, temperatureC: 20 })

  test('the current rises as the voltage falls: power is what is needed', () => {
    const [full, half, low] = [0, 2000, 3600].map((taken) => pack.currentA(185, taken))
    expect(full).toBeLessThan(half)
    expect(half).toBeLessThan(low)
    for (const taken of [0, 1500, 3000]) {
      expect(pack.currentA(185, taken) * pack.loadedV(185, taken)).toBeCloseTo(185, 9)
    }
  })

  test('draining in parts is draining at once', () => {
    let taken = 0
    for (let i = 0; i < 97; i++) taken = pack.drain(taken, 180, 9)
    expect(taken).toBeCloseTo(pack.drain(0, 180, 97 * 9), 1)
  })

  test('without resistance a constant voltage gives charge by hand', () => {
    // 180 W at the 15.36 V of a half-full pack for 36 s: 11.72 A * 0.01 h = 117 mAh.
    const ideal = new Pack({ ...TYPICAL_BATTERY, temperatureC: 20, cellMohm: 0 })
    expect(ideal.drain(2000, 180, 36) - 2000).toBeCloseTo(117.2, 0)
  })

  test('cold takes capacity and voltage', () => {
    const cold = new Pack({ ...TYPICAL_BATTERY, temperatureC: -10 })
    expect(cold.usableMah).toBeLessThan(pack.usableMah)
    expect(cold.loadedV(185, 1000)).toBeLessThan(pack.loadedV(185, 1000))
    // A weak cold pack fails before it is empty.
    const weak = new Pack({ ...TYPICAL_BATTERY, temperatureC: -10, cellMohm: 14 })
    expect(weak.holds(185, 0)).toBe(true)
    expect(weak.holds(185, weak.usableMah * 0.8)).toBe(false)
  })

  test('more power than it has gives no number', () => {
    expect(pack.currentA(1e5, 0)).toBeNaN()
    expect(pack.drain(0, 1e5, 10)).toBeNaN()
  })

  test('says what is wrong', () => {
    expect(() => new Pack({ ...TYPICAL_BATTERY, capacityMah: 0 })).toThrow(
      `The capacity of the battery is 0 mAh; give a value from ${BATTERY_LIMITS.capacityMah[0]}`,
    )
  })
})

describe('flight', () => {
  test('common practice, no source: 12 to 13 A at 40 km/h is 300 to 340 mAh a kilometre', () => {
    for (const currentA of [12, 12.5, 13]) {
      const aircraft = { ...STEADY, cruise: [{ airspeedMs: 40 / 3.6, currentA }] }
      // With the pack half down, where its voltage is near the nominal one.
      const route = straightRoute([
        [5000, 0],
        [8900, 0],
      ])
      const perKm = fly(route, { ...SETTINGS, aircraft }).legs[1].mah / 3.9
      expect(perKm).toBeGreaterThan(290)
      expect(perKm).toBeLessThan(340)
    }
  })

  test('common practice, no source: 680 mAh in the first 2 km, 2,200 mAh at 7 km', () => {
    // Seen on one flight at that pace; the first stretch was the climb over the valley.
    const hill = madeTerrain(601, 30, (e) => 500 + 350 * Math.min(1, Math.max(0, e / 2000)))
    const places = [2000, 7000].map((e) => waypointAt(placeOn(hill, e, 0), 60))
    const route = { ...NO_ROUTE, waypoints: places }
    const { flight, line } = fly(route, SETTINGS, hill)
    const [, climbed, end] = line.stations.map(({ sample }) => flight.takenMah[sample])
    expect(Math.abs(climbed - 680)).toBeLessThan(0.15 * 680)
    expect(Math.abs(end - 2200)).toBeLessThan(0.1 * 2200)
  })

  test('common practice, no source: half of a 4,000 mAh pack spent on the way out does not come home above 20 %', () => {
    const out = fly(straightRoute([[8500, 0]]))
    const half = out.flight.takenMah.findIndex((taken) => taken >= 2000)
    expect(half).toBeGreaterThan(0)
    expect(out.ways.retraced(half)?.isEnough).toBe(false)
    // And the way back costs more than the way out.
    const home = out.ways.retraced(half)
    expect(home?.mah).toBeGreaterThan(out.flight.takenMah[half] - out.flight.takeOffMah)
  })

  test('energy is additive over split legs', () => {
    const whole = fly(straightRoute([[4000, 1000]]))
    const split = fly(
      straightRoute([
        [1000, 250],
        [2600, 650],
        [4000, 1000],
      ]),
    )
    const sum = split.legs.reduce((total, { mah }) => total + mah, 0)
    expect(sum).toBeCloseTo(whole.legs[0].mah, 0)
    const time = split.legs.reduce((total, { timeS }) => total + timeS, 0)
    expect(time).toBeCloseTo(whole.legs[0].timeS, 1)
  })

  test('with the wind reversed, out and back swap', () => {
    const route = outAndBack(straightRoute([[3000, 0]]))
    const blown = (fromDeg: number) =>
      fly(route, { ...SETTINGS, wind: { ...CALM, speedMs: 4, fromDeg } }).legs
    const [east, west] = [blown(90), blown(270)]
    expect(east[0].timeS).toBeCloseTo(west[1].timeS, 1)
    expect(east[1].timeS).toBeCloseTo(west[0].timeS, 1)
    expect(east[0].timeS).toBeGreaterThan(east[1].timeS)
  })

  test('a descent gives back nothing', () => {
    const level = straightRoute([[3000, 0]], 300)
    const down = { ...level, waypoints: [{ ...level.waypoints[0], heightM: 60 }] }
    const [a, b] = [fly(level).legs[0], fly(down).legs[0]]
    // But for the air, thinner up there by half a percent of power.
    expect(Math.abs(b.mah / a.mah - 1)).toBeLessThan(0.01)
  })

  test('loitering costs the hover, in wind the airspeed that holds the place', () => {
    const route = straightRoute([[2000, 0]])
    const waiting = { ...route, waypoints: [{ ...route.waypoints[0], loiterS: 120 }] }
    const extra = fly(waiting).legs[0].mah - fly(route).legs[0].mah
    // 9.5 A at 3.7 V a cell, drawn at some 4.05 V: 9.5 * 3.7 / 4.05 * 120 s = 289 mAh.
    expect(Math.abs(extra - 289)).toBeLessThan(12)
    expect(fly(waiting).legs[0].timeS - fly(route).legs[0].timeS).toBeCloseTo(120, 6)
  })

  test('the loiter counts at its place, at the end too', () => {
    const route = straightRoute([[1000, 0]])
    const waiting = { ...route, waypoints: [{ ...route.waypoints[0], loiterS: 2400 }] }
    const { flight, ways, line } = fly(waiting)
    const last = line.distanceM.length - 1
    expect(flight.timeS[last]).toBeGreaterThan(2400)
    expect(flight.takenMah[last]).toBeGreaterThan(4000)
    expect(ways.turnRetraced()?.isEnd).toBe(false)
  })

  test('over missing ground nothing is known, and the wind is not blamed', () => {
    const torn = madeTerrain(601, 30, (e) => (e > 900 && e < 1300 ? NaN : 500))
    const places = [waypointAt(placeOn(torn, 2000, 0), 60)]
    const { flight, ways } = fly({ ...NO_ROUTE, waypoints: places }, SETTINGS, torn)
    expect(flight.legs[0]).toMatch(/no terrain data under part of the leg to Waypoint 1/)
    expect(ways.turnStraight()?.isEnd ?? false).toBe(false)
  })

  test('a weak pack is told from a strong wind', () => {
    const weak = { ...SETTINGS, battery: { ...SETTINGS.battery, cellMohm: 200 } }
    expect(fly(straightRoute([[1000, 0]]), weak).flight.legs[0]).toMatch(
      /pack cannot give the power that the take-off needs/,
    )
  })

  test('straight up between two waypoints has no track to hold', () => {
    const route = straightRoute([
      [1000, 0],
      [1000, 0],
    ])
    const up = {
      ...route,
      waypoints: route.waypoints.with(1, { ...route.waypoints[1], heightM: 110 }),
    }
    const wind = { ...CALM, speedMs: 10.5, fromDeg: 0, exponent: 0 }
    const leg = fly(up, { ...SETTINGS, wind }).legs[1]
    expect(leg.timeS).toBeCloseTo(50 / 4, 6)
    expect(leg.triangle.groundSpeedMs).toBe(0)
  })

  test('a leg against too strong a wind is said to be so, the others stay', () => {
    const route = outAndBack(straightRoute([[3000, 0]]))
    const wind = { ...CALM, speedMs: 13, fromDeg: 270, exponent: 0 }
    const line = routeLine(
      flat,
      new GridLocator(flat),
      bareGround(flat),
      placeOn(flat, 0, 0),
      route,
    )
    const strong = { ...STEADY, cruise: [...STEADY.cruise, { airspeedMs: 12.9, currentA: 15 }] }
    const windy = { ...SETTINGS, aircraft: strong, wind }
    const refused = flyRoute(new Flyer(windy), line)
    expect(refused.legs[0]).toMatch(/wind is stronger than the aircraft on the take-off/)
    const lighter = flyRoute(new Flyer({ ...windy, wind: { ...wind, speedMs: 12.6 } }), line)
    expect(typeof lighter.legs[0]).toBe('object')
    expect(lighter.legs[1]).toMatch(/wind of 12.6 m\/s .* too strong for the leg to Launch point/)
    expect(lighter.landed).toBeNull()
  })
})

describe('point of no return', () => {
  const far = outAndBack(straightRoute([[8000, 0]]))
  const turn = (settings: FlightSettings) => fly(far, settings).ways.turnRetraced()
  const base = turn(SETTINGS)

  test('never beyond half the energy in still air on a symmetric route', () => {
    expect(base?.takenMah).toBeLessThan(1600)
    expect(base?.takenMah).toBeGreaterThan(1200)
    expect(base?.home.landedMah).toBeLessThanOrEqual(3200)
    expect(base?.home.landedMah).toBeGreaterThan(3180)
  })

  test.each([
    ['more wind', { ...SETTINGS, wind: { ...CALM, speedMs: 4, fromDeg: 0 } }],
    ['a head wind home', { ...SETTINGS, wind: { ...CALM, speedMs: 4, fromDeg: 270 } }],
    ['a colder pack', { ...SETTINGS, battery: { ...SETTINGS.battery, temperatureC: -5 } }],
    ['more reserve', { ...SETTINGS, battery: { ...SETTINGS.battery, reserveShare: 0.35 } }],
  ])('moves home with %s', (_, settings) => {
    expect(turn(settings)?.distanceM).toBeLessThan(base?.distanceM ?? NaN)
    const straight = fly(far, settings).ways.turnStraight()
    expect(straight?.distanceM).toBeLessThan(
      fly(far, SETTINGS).ways.turnStraight()?.distanceM ?? NaN,
    )
  })

  test('straight home goes over what lies between, and costs the climb', () => {
    const ridge = madeTerrain(601, 30, (e) => 500 + (Math.abs(e - 1500) < 200 ? 400 : 0))
    // Around the ridge's foot there is none: the route climbs over it on its way.
    const places = [waypointAt(placeOn(ridge, 3000, 0), 60)]
    const { ways, line } = fly({ ...NO_ROUTE, waypoints: places }, SETTINGS, ridge)
    const last = line.distanceM.length - 1
    expect(ways.straight(last)?.highestM).toBeCloseTo(915, 6)
    expect(ways.straight(last)?.distanceM).toBeCloseTo(3000, -1)
  })

  test('a route that comes home itself above the reserve needs no turning', () => {
    const { flight, ways } = fly(outAndBack(straightRoute([[4000, 0]])))
    expect(flight.landed?.takenMah).toBeLessThan(3200)
    expect(ways.turnRetraced()?.isEnd).toBe(true)
  })

  test('nothing is too far on a short route, everything on a hopeless one', () => {
    const near = fly(straightRoute([[1000, 0]])).ways.turnRetraced()
    expect(near?.isEnd).toBe(true)
    const tiny = { ...SETTINGS, battery: { ...SETTINGS.battery, capacityMah: 60 } }
    expect(fly(far, tiny).ways.turnRetraced()).toBeNull()
  })
})

describe('return area', () => {
  const HEIGHT = { aglM: 60, amslM: 560 }
  const { settings } = sweepAll(flat, { col: 300, row: 300 })
  const shares = (flight: FlightSettings, terrain = flat) =>
    returnShares(groundOf(terrain), settings, 0, 500, new Flyer(flight), 60)

  test('still air over flat ground: a circle whose rim is the reach', () => {
    const field = shares(SETTINGS)
    const reach = reachM(new Flyer(SETTINGS), 77, 60, HEIGHT)
    // Out and back at some 300 mAh a kilometre with 3,200 mAh, less the climb.
    expect(reach).toBeGreaterThan(4500)
    expect(reach).toBeLessThan(5600)
    for (const [col, row] of [
      [400, 300],
      [300, 180],
      [230, 391],
    ]) {
      const distance = Math.hypot(col - 300, row - 300) * settings.groundCellM
      expect(field[row * 601 + col]).toBeCloseTo(distance / reach, 3)
    }
    expect(field[300 * 601 + 300]).toBeLessThan(0.01)
  })

  test('agrees with flying there and back', () => {
    const wind = { ...CALM, speedMs: 4, fromDeg: 240 }
    const windy = { ...SETTINGS, wind }
    const flyer = new Flyer(windy)
    for (const track of [0, 60, 145, 240]) {
      const reach = reachM(flyer, track, 60, HEIGHT)
      const [east, north] = [Math.sin, Math.cos].map((of) => reach * of((track * Math.PI) / 180))
      const { flight } = fly(outAndBack(straightRoute([[east, north]])), windy)
      expect(flight.landed?.takenMah).toBeLessThan(3200 * 1.005)
      expect(flight.landed?.takenMah).toBeGreaterThan(3200 * 0.99)
    }
  })

  test('wind shortens it on every side, a ridge behind itself', () => {
    const blown = shares({ ...SETTINGS, wind: { ...CALM, speedMs: 5, fromDeg: 0 } })
    const still = shares(SETTINGS)
    expect(blown.filter((share) => share <= 1).length).toBeLessThan(
      still.filter((share) => share <= 1).length,
    )
    const ridge = madeTerrain(601, 30, (e) => 500 + (Math.abs(e - 1500) < 100 ? 900 : 0))
    const behind = shares(SETTINGS, ridge)
    const at = (col: number) => 300 * 601 + col
    expect(behind[at(320)]).toBeCloseTo(still[at(320)], 3)
    expect(behind[at(380)]).toBeGreaterThan(still[at(380)] * 1.2)
    expect(behind[at(220)]).toBeCloseTo(still[at(220)], 3)
  })
})
