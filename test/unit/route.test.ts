import { describe, expect, test } from 'vitest'
import {
  changeWaypoint,
  deleteWaypoint,
  insertWaypoint,
  loop,
  moveWaypoint,
  NO_ROUTE,
  outAndBack,
  reversed,
  waypointAt,
  waypointName,
  type Route,
} from '../../core/route/route'
import { AirColumns } from '../../core/route/airColumns'
import { colsAlong, findCols } from '../../core/route/cols'
import {
  airAlong,
  conflictsOf,
  lengthOf,
  USUAL_LIMITS,
  type RouteLimits,
} from '../../core/route/corridor'
import { liftToFloor } from '../../core/route/lift'
import { routeLine, type RouteLine } from '../../core/route/routeLine'
import { resolveEnd } from '../../core/propagation/path'
import { CONTROL_PRESETS, VIDEO_PRESETS } from '../../core/radio/presets'
import { readObstacles, standOnGrid } from '../../core/surface/obstacle'
import { bareGround, buildSurface, type Surface } from '../../core/surface/surface'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import { madeTerrain, placeOn, VIDEO_LINK } from '../support/madeTerrain'

const flat = madeTerrain(401, 25, () => 200)
const point = (e: number, n: number, heightM = 60) => waypointAt(placeOn(flat, e, n), heightM)
const abc: Route = { ...NO_ROUTE, waypoints: [point(500, 0), point(1000, 500), point(1500, 0)] }

function lineOn(terrain: TerrainGrid, route: Route, surface: Surface = bareGround(terrain)) {
  return routeLine(terrain, new GridLocator(terrain), surface, placeOn(terrain, 0, 0), route)
}

function airOver(terrain: TerrainGrid, line: RouteLine, surface: Surface = bareGround(terrain)) {
  const locator = new GridLocator(terrain)
  const at = { ...placeOn(terrain, 0, 0), label: 'launch point', heightM: 2 }
  const launch = resolveEnd(terrain, locator, at)
  const links = [VIDEO_PRESETS[2], CONTROL_PRESETS[1]]
  const seen = { ...surface, clearingM: 0 }
  const columns = new AirColumns(terrain, locator, seen, launch, VIDEO_LINK, links)
  return airAlong(columns, line)
}

describe('waypoints', () => {
  test('insert, change, move and delete leave the others alone', () => {
    const more = insertWaypoint(abc, 1, point(700, 700))
    expect(more.waypoints.map(({ lonDeg }) => lonDeg)).toEqual([
      abc.waypoints[0].lonDeg,
      point(700, 700).lonDeg,
      abc.waypoints[1].lonDeg,
      abc.waypoints[2].lonDeg,
    ])
    expect(deleteWaypoint(more, 1)).toEqual(abc)
    expect(changeWaypoint(abc, 1, { heightM: 90 }).waypoints[1].heightM).toBe(90)
    expect(abc.waypoints[1].heightM).toBe(60)
    const moved = moveWaypoint(abc, 0, 2)
    expect(moved.waypoints).toEqual([abc.waypoints[1], abc.waypoints[2], abc.waypoints[0]])
    expect(moveWaypoint(moved, 2, 0)).toEqual(abc)
  })

  test('out and back comes home over the same waypoints, each leg in its shape', () => {
    const shaped = changeWaypoint(abc, 2, { leg: 'straight' })
    const back = outAndBack(shaped)
    expect(back.waypoints.map(({ latDeg }) => latDeg)).toEqual(
      [0, 1, 2, 1, 0].map((i) => abc.waypoints[i].latDeg),
    )
    expect(back.waypoints.map(({ leg }) => leg)).toEqual([
      'terrain',
      'terrain',
      'straight',
      'straight',
      'terrain',
    ])
    expect(back.endsAtLaunch).toBe(true)
    const { legs } = lineOn(flat, back)
    const lengths = legs.map(({ distanceM }) => distanceM)
    lengths.forEach((length, i) => expect(length).toBeCloseTo(lengths[5 - i], 6))
  })

  test('a loop comes straight home; without waypoints there is none', () => {
    expect(lineOn(flat, loop(abc)).stations.map(({ waypoint }) => waypoint)).toEqual([
      null,
      0,
      1,
      2,
      null,
    ])
    expect(loop(NO_ROUTE).endsAtLaunch).toBe(false)
    expect(deleteWaypoint(loop({ ...abc, waypoints: [abc.waypoints[0]] }), 0).endsAtLaunch).toBe(
      false,
    )
  })

  test('reversed twice is the route', () => {
    const shaped = changeWaypoint(abc, 1, { leg: 'straight' })
    expect(reversed(reversed(shaped))).toEqual(shaped)
    expect(reversed(shaped).waypoints.map(({ leg }) => leg)).toEqual([
      'terrain',
      'terrain',
      'straight',
    ])
  })

  test('go by their name or their number', () => {
    expect(waypointName(abc, 1)).toBe('Waypoint 2')
    expect(waypointName(changeWaypoint(abc, 1, { name: 'Saddle' }), 1)).toBe('Saddle')
  })
})

describe('the line over the terrain', () => {
  const slope = madeTerrain(401, 25, (e) => 500 + e / 10)

  test('legs along with the terrain keep their height over it, straight ones their line', () => {
    const route: Route = {
      ...NO_ROUTE,
      takeOffHeightM: 40,
      waypoints: [
        waypointAt(placeOn(slope, 1000, 0), 80),
        { ...waypointAt(placeOn(slope, 2000, 0), 720), heightOver: 'sea', leg: 'straight' },
      ],
    }
    const line = lineOn(slope, route)
    const [start, first, second] = line.stations
    expect(start.amslM).toBeCloseTo(540, 3)
    expect(first.amslM).toBeCloseTo(680, 3)
    expect(second.amslM).toBe(720)
    const middle = (a: number, b: number) => Math.round((a + b) / 2)
    const [m1, m2] = [middle(0, first.sample), middle(first.sample, second.sample)]
    expect(line.flownM[m1] - line.groundM[m1]).toBeCloseTo(60, 0)
    expect(line.flownM[m2]).toBeCloseTo(700, 0)
    expect(line.distanceM[second.sample]).toBeCloseTo(2000, -1)
    expect(line.legOf[first.sample]).toBe(0)
    expect(line.legOf[first.sample + 1]).toBe(1)
  })

  test.each([
    [NO_ROUTE, /has no waypoint yet/],
    [{ ...NO_ROUTE, waypoints: [point(9000, 0)] }, /waypoint 1 .* is off the terrain/],
    [{ ...abc, takeOffHeightM: 0 }, /take-off height is 0 m/],
    [changeWaypoint(abc, 1, { heightM: NaN }), /height of Waypoint 2 is NaN/],
    [changeWaypoint(abc, 2, { loiterS: -4 }), /loiter time at Waypoint 3 is -4 s/],
  ])('says what is wrong (%#)', (route, sentence) => {
    expect(() => lineOn(flat, route)).toThrow(sentence)
  })

  test('a waypoint twice at one place is no leg of no length', () => {
    const line = lineOn(flat, insertWaypoint(abc, 1, abc.waypoints[0]))
    expect(line.legs[1].distanceM).toBe(0)
    expect(line.stations[2].distanceM).toBe(line.stations[1].distanceM)
  })
})

describe('corridor', () => {
  /** A wall across the way from 1000 to 1100 m east, 150 m high. */
  const wall = madeTerrain(401, 25, (e) => (e >= 1000 && e <= 1100 ? 350 : 200))
  const over = (heightM: number): Route => ({
    ...NO_ROUTE,
    takeOffHeightM: heightM,
    waypoints: [
      waypointAt(placeOn(wall, 600, 0), heightM),
      waypointAt(placeOn(wall, 2500, 0), heightM),
    ],
  })
  const limits: RouteLimits = { ...USUAL_LIMITS, floorKind: 'sight' }

  test('behind a wall no height under the ceiling has sight: the stretch and its length', () => {
    const line = lineOn(wall, over(100))
    const conflicts = conflictsOf(line, airOver(wall, line), limits)
    const closed = conflicts.filter(({ kind }) => kind === 'no-height')
    expect(closed).toHaveLength(1)
    // The ray over the edge at 1000 m rises 148 m a kilometre: 148 % of the distance less 100 m
    // over the ground behind 1100 m exceeds 120 m everywhere to the end.
    expect(closed[0].fromM).toBeGreaterThan(1090)
    expect(closed[0].fromM).toBeLessThan(1170)
    expect(closed[0].toM).toBeCloseTo(2500, -1)
    expect(lengthOf(conflicts, 'no-height')).toBeCloseTo(closed[0].toM - closed[0].fromM, 9)
    expect(closed[0].worst).toBeCloseTo(2 + (2500 * 148) / 1000 - 120, -1)
    expect(conflicts.some(({ kind }) => kind === 'over-ceiling')).toBe(false)
  })

  test('under the floor, over the ceiling and too close to ground are told apart', () => {
    const low = madeTerrain(401, 25, (e) => (e >= 1000 && e <= 1100 ? 230 : 200))
    const under = lineOn(low, over(20))
    const found = conflictsOf(under, airOver(low, under), { ...limits, clearanceM: 25 })
    expect(found.map(({ kind }) => kind)).toContain('under-floor')
    expect(found.some(({ kind, worst }) => kind === 'too-close' && Math.abs(worst - 5) < 0.1)).toBe(
      true,
    )
    const high = lineOn(low, over(150))
    const above = conflictsOf(high, airOver(low, high), limits)
    expect(above.map(({ kind }) => kind)).toEqual(['over-ceiling'])
    expect(above[0].worst).toBeCloseTo(30, 3)
  })

  test('a wire across the way is too close', () => {
    const text = JSON.stringify({
      type: 'FeatureCollection',
      features: [
        {
          type: 'Feature',
          properties: { kind: 'wire', name: 'cable', height_m: 50 },
          geometry: {
            type: 'LineString',
            coordinates: [-300, 300].map((n) => {
              const { latDeg, lonDeg } = placeOn(flat, 800, n)
              return [lonDeg, latDeg]
            }),
          },
        },
      ],
    })
    const standing = readObstacles(text, 'wires').map((o) => standOnGrid(o, new GridLocator(flat)))
    const surface = buildSurface(flat, { heightM: 0, treeLineM: null }, null, standing)
    const line = lineOn(flat, abc, surface)
    const close = conflictsOf(line, null, limits).filter(({ kind }) => kind === 'too-close')
    expect(close).toHaveLength(1)
    expect(close[0].worst).toBeCloseTo(5, 0)
    expect(line.distanceM[close[0].worstSample]).toBeGreaterThan(700)
  })

  test('over missing ground nothing is known', () => {
    const torn = madeTerrain(401, 25, (e) => (e > 1000 && e < 1200 ? NaN : 200))
    const line = lineOn(torn, {
      ...NO_ROUTE,
      waypoints: [waypointAt(placeOn(torn, 1900, 0), 60)],
    })
    const [unknown] = conflictsOf(line, airOver(torn, line), limits)
    expect(unknown.kind).toBe('not-known')
    expect(unknown.toM - unknown.fromM).toBeGreaterThan(200)
  })

  test('over the launch point itself the margins are known', () => {
    const line = lineOn(flat, abc)
    const air = airOver(flat, line)
    expect(air.videoDb[0]).toBeGreaterThan(-200)
    expect(air.videoDb.some(Number.isNaN)).toBe(false)
  })

  test('right over the antenna the signal is too weak, though nothing is in the way', () => {
    const route: Route = {
      ...NO_ROUTE,
      takeOffHeightM: 115,
      waypoints: [waypointAt(placeOn(flat, 400, 0), 115)],
    }
    const line = lineOn(flat, route)
    const found = conflictsOf(line, airOver(flat, line), { ...limits, floorKind: 'margin' })
    const weak = found.find(({ kind }) => kind === 'weak-signal')
    expect(weak?.fromM).toBeLessThan(30)
    expect(weak?.worst).toBeGreaterThan(3)
  })

  test('without the air only what needs none is found', () => {
    const line = lineOn(wall, over(150))
    const kinds = conflictsOf(line, null, limits).map(({ kind }) => kind)
    expect(kinds.sort()).toEqual(['not-known', 'over-ceiling'])
  })
})

describe('lifting to the floor', () => {
  const hills = madeTerrain(
    401,
    25,
    (e, n) => 300 + 60 * Math.sin(e / 350) * Math.cos(n / 500) + (e > 900 && e < 1000 ? 60 : 0),
  )
  const limits: RouteLimits = { ceilingM: 120, clearanceM: 15, floorKind: 'fresnel' }
  const low: Route = {
    ...NO_ROUTE,
    takeOffHeightM: 10,
    waypoints: [
      waypointAt(placeOn(hills, 1500, 400), 20),
      { ...waypointAt(placeOn(hills, 2600, -300), 40), leg: 'straight' },
    ],
  }
  const line = lineOn(hills, low)
  const lifted = liftToFloor(low, line, airOver(hills, line), limits, new GridLocator(hills))
  const after = lineOn(hills, lifted)
  const conflicts = conflictsOf(after, airOver(hills, after), limits)

  test('leaves nothing under the floor where the ceiling allows', () => {
    const before = conflictsOf(line, airOver(hills, line), limits)
    expect(lengthOf(before, 'under-floor')).toBeGreaterThan(300)
    expect(lengthOf(conflicts, 'under-floor')).toBeLessThan(60)
    expect(lengthOf(conflicts, 'too-close')).toBeLessThan(60)
    expect(lengthOf(conflicts, 'over-ceiling')).toBeLessThan(60)
  })

  test('never lowers the line, and keeps the waypoints', () => {
    const kept = lifted.waypoints.filter((waypoint) =>
      low.waypoints.some(
        ({ latDeg, lonDeg }) => latDeg === waypoint.latDeg && lonDeg === waypoint.lonDeg,
      ),
    )
    expect(kept).toHaveLength(2)
    expect(lifted.takeOffHeightM).toBeGreaterThanOrEqual(15)
    for (let i = 0; i < line.distanceM.length; i += 3) {
      const k = after.distanceM.findIndex((d) => d >= line.distanceM[i])
      expect(after.flownM[k]).toBeGreaterThan(line.flownM[i] - 1.5)
    }
  })

  test('a route that is high enough is returned as it is', () => {
    const high: Route = {
      ...low,
      takeOffHeightM: 110,
      waypoints: low.waypoints.map((w) => ({ ...w, heightM: 110, leg: 'terrain' as const })),
    }
    const its = lineOn(hills, high)
    const sight: RouteLimits = { ...limits, floorKind: 'sight' }
    const air = airOver(hills, its)
    const wants = conflictsOf(its, air, sight).filter(({ kind }) => kind === 'under-floor')
    expect(wants).toEqual([])
    expect(liftToFloor(high, its, air, sight, new GridLocator(hills))).toEqual(high)
  })
})

describe('cols', () => {
  // Three summits in a row with saddles of known heights between them.
  const hill = (e: number, n: number, at: number, height: number) =>
    height * Math.exp(-((e - at) ** 2 + n ** 2) / 300 ** 2)
  const terrain = madeTerrain(201, 25, (e, n) =>
    Math.max(hill(e, n, -1000, 500), hill(e, n, 0, 800), hill(e, n, 900, 600)),
  )

  test('the saddles of a terrain with known ones', () => {
    const found = findCols(terrain.heights, terrain, 50)
    expect(found).toHaveLength(2)
    for (const { cell, groundM, depthM } of found) {
      const [e, n] = [((cell % 201) - 100) * 25, (100 - Math.floor(cell / 201)) * 25]
      expect(n).toBe(0)
      // Where both hills are equally high, by bisection of their formulas.
      const isWest = e < 0
      const [lower, at] = isWest ? [500, -1000] : [600, 900]
      let [a, b] = [0, at]
      for (let i = 0; i < 60; i++) {
        const middle = (a + b) / 2
        if (hill(middle, 0, 0, 800) > hill(middle, 0, at, lower)) a = middle
        else b = middle
      }
      expect(Math.abs(e - a)).toBeLessThanOrEqual(25)
      expect(Math.abs(groundM - hill(a, 0, 0, 800))).toBeLessThan(25)
      expect(depthM).toBeCloseTo(lower - groundM, 0)
    }
  })

  test('shallow ones can be left out, and missing ground is none', () => {
    const [deep, shallow] = findCols(terrain.heights, terrain, 50)
    const between = (deep.depthM + shallow.depthM) / 2
    expect(findCols(terrain.heights, terrain, between)).toEqual([deep])
    const torn = terrain.heights.slice()
    for (let row = 0; row < 201; row++) torn[row * 201 + 118] = NaN
    expect(findCols(torn, terrain, 50)).toHaveLength(1)
    expect(findCols(new Float32Array(9).fill(NaN), { cols: 3, rows: 3 }, 1)).toEqual([])
  })

  test('along a ridge line: its low points', () => {
    const found = colsAlong(
      terrain.heights,
      terrain,
      [
        { col: 60, row: 100 },
        { col: 136, row: 100 },
      ],
      50,
    )
    const whole = findCols(terrain.heights, terrain, 50)
    expect(found.map(({ cell }) => cell).sort()).toEqual(whole.map(({ cell }) => cell).sort())
    const flank = [
      { col: 60, row: 60 },
      { col: 60, row: 100 },
    ]
    expect(colsAlong(terrain.heights, terrain, flank, 50)).toEqual([])
  })
})
