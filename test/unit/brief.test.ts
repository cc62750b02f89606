import { decode } from 'fast-png'
import { describe, expect, test } from 'vitest'
import { briefHtml } from '../../core/brief/briefHtml'
import { gatherBrief, type BriefTask } from '../../core/brief/fieldBrief'
import {
  frameAround,
  MAP_HEIGHT,
  MAP_WIDTH,
  mapPicture,
  pixelOf,
} from '../../core/brief/mapPicture'
import {
  areaLetter,
  degreesWords,
  tiltWords,
  titleOf,
  type BriefWords,
} from '../../core/brief/words'
import { computeClearHeights, prepareSweep } from '../../core/coverage/clearHeights'
import { SweepPool } from '../../core/coverage/sweepPool'
import { LANDED_HEIGHT_M } from '../../core/landing/landing'
import type { Plan } from '../../core/plan/plan'
import { reckon } from '../../core/plan/reckoning'
import { pathProfile } from '../../core/propagation/path'
import { pathBudget } from '../../core/radio/pathBudget'
import { siteOf } from '../../core/surface/site'
import { madeTerrain } from '../support/madeTerrain'
import { planOn } from '../support/plans'

/** A gentle slope with a wall across it, east of the launch point. */
const terrain = madeTerrain(200, 20, (east, north) =>
  east > 1250 && east < 1350 ? 300 : 100 + east / 50 + north / 100,
)

async function taskOf(plan: Plan, target: BriefTask['target'] = null): Promise<BriefTask> {
  const site = siteOf(terrain, plan, null)
  const pool = SweepPool.local()
  await pool.setGround({ ...terrain, ...site.surface })
  const fields = await computeClearHeights(terrain, plan, { pool })
  const { sweep, northRad } = prepareSweep(terrain, plan)
  const task = {
    settings: sweep,
    frequencyMhz: plan.video.frequencyMhz,
    polarisation: 'vertical',
    heightM: LANDED_HEIGHT_M,
    northRad,
  } as const
  const [paths] = await pool.paths([{ task, fields }], {})
  return { site, plan, target, pictures: { fields, paths }, errorM: 2 }
}

const WORDS: BriefWords = {
  units: 'metric',
  coordinateStyle: 'decimal',
  paper: 'a4',
  title: 'Over the wall',
  madeAt: 'today',
}

/** What a reader sees of an HTML text. */
const textOf = (html: string) =>
  html
    .replace(/<style>[^]*?<\/style>/, '')
    .replace(/<[^>]*>/g, ' ')
    .replace(/&lt;/g, '<')
    .replace(/\s+/g, ' ')

describe('field brief', () => {
  test('says what the plan reckons, leg by leg', async () => {
    const plan = planOn(terrain)
    const task = await taskOf(plan)
    const text = textOf(briefHtml(task, WORDS))
    const { line, flight, turns } = reckon(task.site, plan)
    expect(line.legs).toHaveLength(3)
    for (const leg of flight.legs) {
      if (typeof leg === 'string') throw new Error(leg)
      expect(text).toContain(`${leg.mah.toFixed(0).replace(/(\d)(\d{3})$/, '$1,$2')}`)
    }
    expect(turns.retraced).not.toBeNull()
    expect(text).toContain('Turn by, way back')
    expect(text).toContain('2 Far')
    expect(text).toContain('A. Meadow (home)')
  })

  test('budgets are those of the profiles to the target and to the weakest place', async () => {
    const plan = planOn(terrain)
    const target = plan.route.waypoints[0]
    const task = await taskOf(plan, target)
    const { budgets, reckoning } = gatherBrief(task)
    if (!reckoning || typeof reckoning === 'string') throw new Error('no reckoning')
    const path = pathProfile(
      terrain,
      { ...plan.launch, label: 'a', heightM: plan.antennaHeightM },
      { ...target, label: 'b', heightM: plan.flyingHeightM },
      plan.radio,
      { ...task.site.surface, clearingM: plan.clearingM },
    )
    const own = pathBudget(path, plan.video, plan.radio.kFactor, plan.foliage)
    expect(budgets[0].title).toBe('Target')
    expect(budgets[0].links[0].budget.marginDb).toBeCloseTo(own.marginDb, 9)
    const worst = Math.min(...reckoning.air.videoDb.filter((db) => !Number.isNaN(db)))
    expect(budgets[1].links[0].budget.marginDb).toBeCloseTo(worst, 1)
  })

  test('no route, no landing areas, no snow: still a brief', async () => {
    const full = planOn(terrain)
    const plan = {
      ...full,
      route: { ...full.route, waypoints: [], endsAtLaunch: false },
      landing: { ...full.landing, accepted: [] },
      brief: { title: '', checklist: [], notes: '' },
    }
    const text = textOf(briefHtml(await taskOf(plan), WORDS))
    expect(text).not.toContain('Turn by')
    expect(text).not.toContain('Before the flight')
    expect(text).toContain('choose some before you fly')
    expect(text).toContain('Terrain models miss trees')
  })

  test('a waypoint off the terrain is said instead of legs', async () => {
    const full = planOn(terrain)
    const [first] = full.route.waypoints
    const off = { ...first, latDeg: first.latDeg + 2 }
    const plan = { ...full, route: { ...full.route, waypoints: [off] } }
    expect(textOf(briefHtml(await taskOf(plan), WORDS))).toMatch(
      /The waypoint 1 .* is off the terrain/,
    )
  })

  test('names are text, whatever they hold', async () => {
    const full = planOn(terrain)
    const evil = '<img src=x onerror=alert(1)>"\'&</style><script>alert(1)</script>'
    const plan = {
      ...full,
      route: {
        ...full.route,
        waypoints: full.route.waypoints.map((waypoint) => ({ ...waypoint, name: evil })),
      },
      video: { ...full.video, name: evil },
      aircraft: { ...full.aircraft, name: evil },
      battery: { ...full.battery, name: evil },
      landing: {
        ...full.landing,
        accepted: full.landing.accepted.map((area) => ({ ...area, name: evil, note: evil })),
      },
      brief: { title: evil, checklist: [evil], notes: evil },
    }
    const html = briefHtml(await taskOf(plan), { ...WORDS, title: evil })
    expect(html).not.toMatch(/<script|<img src=x/)
    expect(html.match(/<\/style>/g)).toHaveLength(1)
  })

  test('the map holds all that is planned, and blocked ground is hatched', async () => {
    const task = await taskOf(planOn(terrain))
    const brief = gatherBrief(task)
    const { plan, site } = task
    const places = [plan.launch, ...plan.route.waypoints]
    const frame = frameAround(site, places)
    for (const place of places) {
      const { x, y } = pixelOf(frame, site.locator.toGrid(place))
      expect(x).toBeGreaterThan(0.05 * MAP_WIDTH)
      expect(x).toBeLessThan(0.95 * MAP_WIDTH)
      expect(y).toBeGreaterThan(0.05 * MAP_HEIGHT)
      expect(y).toBeLessThan(0.95 * MAP_HEIGHT)
    }
    // The whole terrain, with the wall: behind it hatched, in front of it not.
    const whole = { west: -1, north: -1, cellsPerPixel: 202 / MAP_HEIGHT, pixelM: 4 }
    const { width, height, data, channels } = decode(mapPicture(brief, whole, 1))
    expect([width, height, channels]).toEqual([MAP_WIDTH, MAP_HEIGHT, 1])
    const darkShare = (col: number) => {
      let dark = 0
      const { x, y } = pixelOf(whole, { col, row: 100 })
      for (let dy = -22; dy < 22; dy++) {
        for (let dx = -22; dx < 22; dx++) {
          if (data[Math.round(y + dy) * width + Math.round(x + dx)] < 100) dark++
        }
      }
      return dark / 44 ** 2
    }
    expect(darkShare(190)).toBeGreaterThan(0.25)
    expect(darkShare(130)).toBe(0)
  })

  test('directions, angles, letters and the heading', () => {
    expect([0, 359.6, -1, 45.4].map(degreesWords)).toEqual(['000°', '000°', '359°', '045°'])
    expect([5, 0.2, -3.4].map(tiltWords)).toEqual(['+5°', '0°', '-3°'])
    expect([0, 25, 26].map(areaLetter)).toEqual(['A', 'Z', 'A2'])
    const brief = (title: string) => ({ brief: { title, checklist: [], notes: '' } })
    expect(titleOf(brief(' '), 'north face.geojson')).toBe('north face')
    expect(titleOf(brief('Mine'), 'x.json')).toBe('Mine')
    expect(titleOf(brief(''), '')).toBe('Plan')
  })
})
