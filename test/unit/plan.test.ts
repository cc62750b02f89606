import { spawnSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { USUAL_BRIEF } from '../../core/brief/briefSetup'
import { TYPICAL_AIRCRAFT } from '../../core/energy/aircraft'
import { TYPICAL_BATTERY } from '../../core/energy/battery'
import { CALM } from '../../core/energy/wind'
import type { Polygon } from 'geojson'
import { NO_LANDING } from '../../core/landing/landingArea'
import { withinRoom, type RecentPlan } from '../../core/plan/recent'
import { isSameTerrain, type Plan, type TerrainReference } from '../../core/plan/plan'
import { readPlan, writePlan as write } from '../../core/plan/planFile'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { NO_ROUTE, outAndBack, waypointAt } from '../../core/route/route'
import { USUAL_LIMITS } from '../../core/route/corridor'
import { VIDEO_LINK } from '../support/madeTerrain'
import { DEMO_TERRAIN, temporaryFolder } from '../support/places'

const project = fileURLToPath(new URL('../../', import.meta.url))
const place = (latDeg: number, lonDeg: number, heightM = 80) =>
  waypointAt({ latDeg, lonDeg }, heightM)

function square(lonDeg: number, latDeg: number): Polygon {
  const [east, north] = [lonDeg + 0.0002, latDeg + 0.0002]
  return {
    type: 'Polygon',
    coordinates: [
      [
        [lonDeg, latDeg],
        [east, latDeg],
        [east, north],
        [lonDeg, north],
        [lonDeg, latDeg],
      ],
    ],
  }
}

const PLAN: Plan = {
  launch: { latDeg: 41.20183, lonDeg: 166.32166 },
  antennaHeightM: 2,
  flyingHeightM: 60,
  radio: VIDEO_LINK,
  radiusM: 8000,
  sector: { azimuthDeg: 40, widthDeg: 120 },
  errorM: 4,
  foliage: 'lossy',
  nearby: { separationM: 1, harmonicSuppressionDb: 50, channelWidthMhz: 20 },
  video: VIDEO_PRESETS[1],
  control: CONTROL_PRESETS[0],
  vegetation: { heightM: 3, treeLineM: 1500 },
  clearingM: 40,
  obstacles: [
    {
      name: 'Cable',
      kind: 'wire',
      heightM: 30,
      geometry: {
        type: 'LineString',
        coordinates: [
          [166.32, 41.21],
          [166.34, 41.21],
        ],
      },
    },
  ],
  route: outAndBack({
    ...NO_ROUTE,
    waypoints: [
      { ...place(41.2149, 166.3327), name: 'Shoulder', loiterS: 30 },
      { ...place(41.2249, 166.3427, 900), heightOver: 'sea', leg: 'straight' },
    ],
  }),
  limits: USUAL_LIMITS,
  aircraft: TYPICAL_AIRCRAFT,
  battery: TYPICAL_BATTERY,
  wind: { ...CALM, speedMs: 4, fromDeg: 250 },
  airspeedMs: null,
  places: [
    { kind: 'col', name: 'Gap', latDeg: 41.22, lonDeg: 166.34 },
    { kind: 'other launch point', name: 'Hut', latDeg: 41.2, lonDeg: 166.3 },
  ],
  brief: { ...USUAL_BRIEF, title: 'Over the shoulder', notes: 'Key at the hut' },
  landing: {
    ...NO_LANDING,
    roadHead: { latDeg: 41.19, lonDeg: 166.31 },
    hasSnow: true,
    excluded: [square(166.33, 41.22)],
    accepted: [
      {
        name: 'Meadow',
        note: 'cows in June',
        at: { latDeg: 41.2151, lonDeg: 166.3301 },
        outline: square(166.33, 41.215),
        sizeM2: 5400,
        runM: 90,
        runDeg: 45,
        isHome: true,
      },
    ],
  },
}

/** JSON has no negative zero. */
const plain = (value: number) => value || 0

const writePlan = (plan: Plan) => write({ plan, terrain: null })

const TERRAIN: TerrainReference = {
  files: [
    { name: 'west.tif', sizeBytes: 1234, fingerprint: 'a'.repeat(32) },
    { name: 'east.tif', sizeBytes: 4321, fingerprint: 'b'.repeat(32) },
  ],
  window: { centre: { latDeg: 41.2, lonDeg: 166.3 }, eastWestM: 9000, northSouthM: 7000 },
  cellM: 10,
  fillUpToCells: 50,
  assume: { epsg: 32658, heightUnitM: 0.3048, missing: [-1] },
}

describe('plan file', () => {
  test('read back equal', () => {
    const back = (plan: Plan) => readPlan(writePlan(plan), 'plan.geojson').plan
    expect(back(PLAN)).toEqual(PLAN)
    const bare = {
      ...PLAN,
      route: NO_ROUTE,
      obstacles: [],
      airspeedMs: 12,
      landing: NO_LANDING,
    }
    expect(back(bare)).toEqual(bare)
  })

  test('is GeoJSON: launch point, route and obstacles as features, longitude first', () => {
    const json = JSON.parse(writePlan(PLAN))
    expect(json.type).toBe('FeatureCollection')
    const [point, line, wire] = json.features
    expect(point.geometry).toEqual({ type: 'Point', coordinates: [166.32166, 41.20183] })
    expect(line.geometry.coordinates).toHaveLength(5)
    expect(line.geometry.coordinates[0]).toEqual(line.geometry.coordinates[4])
    expect(wire.properties).toMatchObject({ role: 'obstacle', height_m: 30 })
  })

  test('keeps which terrain it was made on, and knows it again', () => {
    const { terrain } = readPlan(write({ plan: PLAN, terrain: TERRAIN }), 'plan.geojson')
    expect(terrain).toEqual(TERRAIN)
    const [west, east] = TERRAIN.files
    expect(isSameTerrain([east, { ...west, name: 'renamed.tif' }], TERRAIN.files)).toBe(true)
    expect(isSameTerrain([west], TERRAIN.files)).toBe(false)
    expect(isSameTerrain([west, { ...east, sizeBytes: 1 }], TERRAIN.files)).toBe(false)
  })

  test('what other programs added survives, where it was', () => {
    const json = JSON.parse(writePlan(PLAN))
    json.note = { by: 'somebody' }
    json.colsight.wind.gust_ms = 9
    json.features[0].id = 'launch-7'
    json.features[1].properties.colour = 'red'
    json.features[1].properties.waypoints[1].photo = { file: 'a.jpg' }
    json.features[2].properties.owner = 'cableway'
    const area = json.features.find(
      ({ properties }: { properties: { role: string } }) => properties.role === 'landing area',
    )
    area.bbox = [1, 2, 3, 4]
    json.features.at(-1).properties.hut = 'open'
    const other = {
      type: 'Feature',
      geometry: { type: 'Point', coordinates: [166, 41] },
      properties: { shop: 'bakery' },
    }
    const bare = { type: 'Feature', geometry: null, properties: null }
    json.features.push(other, bare)
    const once = readPlan(JSON.stringify(json), 'p.geojson').plan
    const again = JSON.parse(writePlan(once))
    expect(again).toEqual(json)
    // A waypoint taken out in between takes its own along, and nobody else's.
    const { route } = once
    const shorter = { ...once, route: { ...route, waypoints: route.waypoints.slice(1) } }
    const [, line] = JSON.parse(writePlan(shorter)).features
    expect(line.properties.waypoints[0].photo).toEqual({ file: 'a.jpg' })
    expect(line.properties.waypoints[1].photo).toBeUndefined()
  })

  test('a plan of version 1 is read as it was meant', () => {
    const json = JSON.parse(writePlan(PLAN))
    const added = ['terrain', 'radius_m', 'sector', 'model_error_m', 'foliage', 'route', 'nearby', 'brief'] // prettier-ignore
    delete json.colsight.aircraft.current_spread_share
    const old = Object.entries(json.colsight).filter(([member]) => !added.includes(member))
    json.colsight = { ...Object.fromEntries(old), version: 1 }
    const { plan, terrain } = readPlan(JSON.stringify(json), 'old.geojson')
    expect(terrain).toBeNull()
    expect(plan).toEqual({
      ...PLAN,
      radiusM: null,
      sector: null,
      errorM: null,
      foliage: 'solid',
      nearby: { separationM: 1, harmonicSuppressionDb: 50, channelWidthMhz: 20 },
      brief: USUAL_BRIEF,
    })
  })

  test('any plan written is read back equal', () => {
    const degrees = (most: number) => fc.double({ min: -most, max: most, noNaN: true }).map(plain)
    const spot = fc.record({ latDeg: degrees(89), lonDeg: degrees(179) })
    const waypoint = fc.record({
      latDeg: degrees(89),
      lonDeg: degrees(179),
      name: fc.string(),
      heightM: fc.double({ min: -500, max: 9000, noNaN: true }).map(plain),
      heightOver: fc.constantFrom('ground' as const, 'sea' as const),
      leg: fc.constantFrom('terrain' as const, 'straight' as const),
      loiterS: fc.double({ min: 0, max: 7200, noNaN: true }).map(plain),
    })
    const route = fc
      .record({
        waypoints: fc.array(waypoint, { maxLength: 30 }),
        takeOffHeightM: fc.integer({ min: 1, max: 500 }),
        endsAtLaunch: fc.boolean(),
        homeLeg: fc.constantFrom('terrain' as const, 'straight' as const),
      })
      .map((one) => ({
        ...one,
        endsAtLaunch: one.endsAtLaunch && one.waypoints.length > 0,
      }))
    const area = fc.record({
      name: fc.string({ minLength: 1 }),
      note: fc.string(),
      at: spot,
      outline: fc.constant(square(166.33, 41.215)),
      sizeM2: fc.double({ min: 0, max: 1e6, noNaN: true }).map(plain),
      runM: fc.double({ min: 0, max: 1e4, noNaN: true }).map(plain),
      runDeg: fc.double({ min: 0, max: 180, noNaN: true }).map(plain),
      isHome: fc.boolean(),
    })
    const any = fc.record({
      launch: spot,
      antennaHeightM: fc.double({ min: 0, max: 500, noNaN: true }).map(plain),
      route,
      accepted: fc.array(area, { maxLength: 8 }),
      roadHead: fc.option(spot),
      excluded: fc.array(fc.constant(square(166.31, 41.2)), { maxLength: 3 }),
      places: fc.array(
        fc.record({
          kind: fc.constantFrom('col' as const, 'other launch point' as const),
          name: fc.string({ minLength: 1 }),
          latDeg: degrees(89),
          lonDeg: degrees(179),
        }),
        { maxLength: 5 },
      ),
      brief: fc.record({
        title: fc.string({ maxLength: 120 }),
        checklist: fc.array(fc.string({ minLength: 1, maxLength: 300 }), { maxLength: 60 }),
        notes: fc.string({ maxLength: 4000 }),
      }),
      video: fc.record({
        excessLossDb: fc.double({ min: -30, max: 60, noNaN: true }).map(plain),
        spreadDb: fc.option(fc.double({ min: 0, max: 40, noNaN: true }).map(plain)),
      }),
      currentSpreadShare: fc.option(fc.double({ min: 0, max: 1, noNaN: true }).map(plain)),
      radiusM: fc.option(fc.integer({ min: 1, max: 90_000 })),
      obstacleName: fc
        .string({ minLength: 1 })
        .filter((name) => name.trim() === name && name !== ''),
    })
    fc.assert(
      fc.property(
        any,
        ({ accepted, roadHead, excluded, obstacleName, currentSpreadShare, video, ...parts }) => {
          const plan: Plan = {
            ...PLAN,
            ...parts,
            video: { ...PLAN.video, ...video },
            aircraft: { ...PLAN.aircraft, currentSpreadShare },
            obstacles: [{ ...PLAN.obstacles[0], name: obstacleName }],
            landing: { ...PLAN.landing, accepted, roadHead, excluded },
          }
          expect(readPlan(writePlan(plan), 'p.geojson').plan).toEqual(plan)
        },
      ),
      { numRuns: 300, seed: 9 },
    )
  })

  const broken = (change: (json: ReturnType<typeof JSON.parse>) => void) => {
    const json = JSON.parse(writePlan(PLAN))
    change(json)
    return JSON.stringify(json)
  }
  test.each([
    ['{', /"p.geojson" cannot be read as JSON/],
    ['[]', /"p.geojson" is JSON but no plan/],
    ['{"type":"FeatureCollection","features":[]}', /"p.geojson" is JSON but no plan/],
    [broken((json) => (json.colsight.radio.k_factor = 0)), /The k-factor is 0/],
    [broken((json) => (json.colsight.battery.cells = 4.5)), /field colsight.battery.cells/],
    [broken((json) => (json.colsight.airspeed_ms = 40)), /The airspeed is 40 m\/s/],
    [broken((json) => (json.colsight.battery.cells = 'four')), /field colsight.battery.cells/],
    [broken((json) => (json.colsight.version = 9)), /newer Colsight \(plan version 9/],
    [broken((json) => (json.colsight.version = 'two')), /field colsight.version/],
    [broken((json) => (json.colsight.sector.width_deg = 0)), /field colsight.sector.width_deg/],
    [
      broken((json) => (json.features[1].properties.waypoints[0].height_m = 1e6)),
      /field features.1.properties.waypoints.0.height_m/,
    ],
    [broken((json) => json.features.shift()), /no feature with the role "launch point"/],
    [broken((json) => json.features.push(json.features[0])), /several features with the role/],
    [broken((json) => json.features.push(json.features[1])), /several routes/],
    [
      broken((json) => json.features[1].properties.waypoints.pop()),
      /3 positions after the launch point and 2 waypoints/,
    ],
    [broken((json) => delete json.features[2].properties.height_m), /has no height/],
  ])('says what is wrong (%#)', (text, sentence) => {
    expect(() => readPlan(text, 'p.geojson')).toThrow(sentence)
  })
})

describe('colsight route', () => {
  const file = join(temporaryFolder(), 'plan.geojson')
  const route = (...args: string[]) =>
    spawnSync(
      'npm',
      ['run', '--silent', 'colsight', '--', 'route', '--terrain', DEMO_TERRAIN, ...args],
      { cwd: project, encoding: 'utf8' },
    )

  test('prints legs, corridor, energy and the point of no return', () => {
    writeFileSync(file, writePlan(PLAN))
    const run = route('--plan', file, '--json')
    expect(run.stderr).toBe('')
    const answer = JSON.parse(run.stdout)
    expect(answer.legs).toHaveLength(4)
    expect(answer.legs[0]).toMatchObject({ from: 'Launch point', to: 'Shoulder', shape: 'terrain' })
    const sum = answer.legs.reduce((total: number, leg: { mah: number }) => total + leg.mah, 0)
    expect(answer.energy.landed_mah).toBeGreaterThan(sum + answer.energy.take_off_mah)
    expect(answer.energy.budget_mah).toBeCloseTo(answer.energy.usable_mah * 0.8, 6)
    expect(answer.distance_m).toBeCloseTo(
      answer.legs.reduce((total: number, leg: { distance_m: number }) => total + leg.distance_m, 0),
      6,
    )
    const { retraced, straight } = answer.point_of_no_return
    expect(retraced.home.landed_mah).toBeLessThanOrEqual(answer.energy.budget_mah)
    expect(straight.home.landed_mah).toBeLessThanOrEqual(answer.energy.budget_mah)
    expect(
      answer.corridor.conflicts.every(({ leg }: { leg: number }) => leg >= 1 && leg <= 4),
    ).toBe(true)
  })

  test('says the same in words, with the usual caution', () => {
    const { stdout, status } = route('--plan', file)
    expect(status).toBe(0)
    expect(stdout).toMatch(/Launch point to Shoulder, \d+\.\d\d km: \d+:\d\d min, \d+ mAh/)
    expect(stdout).toMatch(/Turn by \(straight home\)/)
    expect(stdout).toMatch(/no promise/)
  })

  test('a plan without a route, off the terrain or with a strong wind', () => {
    writeFileSync(file, writePlan({ ...PLAN, route: NO_ROUTE }))
    expect(route('--plan', file).stderr).toMatch(/has no route; draw one/)
    writeFileSync(file, writePlan({ ...PLAN, route: { ...NO_ROUTE, waypoints: [place(44, 166)] } }))
    expect(route('--plan', file).stderr).toMatch(/waypoint 1 .* is off the terrain/)
    writeFileSync(file, writePlan({ ...PLAN, wind: { ...CALM, speedMs: 14, fromDeg: 60 } }))
    const { stdout } = route('--plan', file, '--json')
    expect(JSON.parse(stdout).legs.some((leg: object) => 'refusal' in leg)).toBe(true)
  })
})

describe('colsight launch-spots', () => {
  const file = join(temporaryFolder(), 'plan.geojson')
  const spots = (...args: string[]) =>
    spawnSync(
      'npm',
      [
        ...['run', '--silent', 'colsight', '--', 'launch-spots'],
        ...['--terrain', DEMO_TERRAIN, '--plan', file, ...args],
      ],
      { cwd: project, encoding: 'utf8' },
    )

  test('lists spots with exact shares, aims, ways on foot and the best pair', () => {
    writeFileSync(file, writePlan({ ...PLAN, vegetation: { heightM: 0, treeLineM: null } }))
    const run = spots('--json', '--count', '4', '--walk', '40')
    expect(run.stderr).toBe('')
    const answer = JSON.parse(run.stdout)
    expect(answer.spots).toHaveLength(4)
    const shares = answer.spots.map((spot: { share_with_margin: number }) => spot.share_with_margin)
    expect([...shares].sort((a, b) => b - a)).toEqual(shares)
    for (const spot of answer.spots) {
      expect(spot.walk_s).toBeLessThanOrEqual(2400)
      expect(spot.slope_deg).toBeLessThanOrEqual(20)
      expect(spot.aims).toHaveLength(2)
      expect(Math.abs(spot.share_searched - spot.share_with_margin)).toBeLessThan(0.2)
    }
    expect(answer.best_pair.share).toBeGreaterThanOrEqual(shares[0])
    const text = spots('--count', '2', '--walk', '40')
    expect(text.stdout).toMatch(/^1\. 41\.\d+, 166\.\d+: margin \d+\.\d %/)
  })

  test('no route is no target; limits that leave nowhere say which', () => {
    writeFileSync(file, writePlan({ ...PLAN, route: NO_ROUTE }))
    expect(spots().stderr).toMatch(/no target to see/)
    writeFileSync(file, writePlan(PLAN))
    expect(spots('--steepest', '0.001').stderr).toMatch(
      /nowhere to stand left: most is excluded by/,
    )
  })
})

describe('recent plans', () => {
  const plan = (name: string, isSaved: boolean, length = 10): RecentPlan => ({
    ...{ name, isSaved, at: '2026-11-28T20:00:00.000Z' },
    text: 'x'.repeat(length),
  })
  const names = (plans: readonly RecentPlan[]) => plans.map(({ name }) => name)

  test('those in no file stay, the oldest of the others go', () => {
    const saved = Array.from({ length: 20 }, (_, i) => plan(`saved ${i}`, true))
    const old = [plan('lost otherwise', false), plan('and this', false)]
    const kept = names(withinRoom([...saved, ...old]))
    expect(kept).toEqual([...names(saved.slice(0, 15)), ...names(old)])
  })

  test('the newest stays whatever its size, then those in no file as far as there is room', () => {
    const large = plan('large', true, 9_000_000)
    expect(names(withinRoom([large, plan('b', false)]))).toEqual(['large'])
    const [a, b, c] = [plan('a', true, 3e6), plan('b', true, 3e6), plan('c', false, 4e6)]
    expect(names(withinRoom([a, b, c]))).toEqual(['a', 'c'])
  })
})
