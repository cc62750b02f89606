import { spawnSync } from 'node:child_process'
import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { createCanvas, loadImage } from '@napi-rs/canvas'
import { describe, expect, test } from 'vitest'
import { writePlan } from '../../core/plan/planFile'
import { writeLink } from '../../core/radio/link'
import { VIDEO_PRESETS } from '../../core/radio/presets'
import { GridLocator } from '../../core/terrain/grid'
import { runCommandLine } from '../../electron/cli/program'
import { readTerrainFile } from '../../electron/node/terrainFile'
import { DEMO_TERRAIN, temporaryFolder } from '../support/places'
import { planOn } from '../support/plans'

const project = fileURLToPath(new URL('../../', import.meta.url))

/** Runs the command line, in this process. */
async function colsight(...args: string[]) {
  let [out, err] = ['', '']
  const status = await runCommandLine(args, {
    print: (text) => (out += text),
    complain: (text) => (err += text),
  })
  return { status, out, err: err.trim() }
}

const ENDS = ['--from', '41.20183,166.32166', '--to', '41.2349,166.3627']
const HEIGHTS = ['--from-height', '2', '--to-height', '60']

test('runs by npm, as the README says', () => {
  const args = ['run', '--silent', 'colsight', '--', 'inspect', DEMO_TERRAIN]
  const run = spawnSync('npm', args, { cwd: project, encoding: 'utf8' })
  expect([run.status, run.stderr]).toEqual([0, ''])
  expect(run.stdout).toContain('demo-massif.tif')
  const failed = spawnSync('npm', [...args, 'nowhere.tif'], { cwd: project, encoding: 'utf8' })
  expect(failed.status).toBe(1)
  expect(failed.stdout).toContain('There is no file "nowhere.tif"')
})

describe('colsight brief', () => {
  test('writes a brief that needs nothing beside it', async () => {
    const folder = temporaryFolder()
    const [planPath, out] = [join(folder, 'ridge.geojson'), join(folder, 'brief.html')]
    const plan = planOn(await readTerrainFile(DEMO_TERRAIN))
    writeFileSync(planPath, writePlan({ plan, terrain: null }))
    const args = ['brief', '--terrain', DEMO_TERRAIN, '--plan', planPath]
    const { status, out: said } = await colsight(...args, '--out', out, '--units', 'feet')
    expect(status).toBe(0)
    expect(said).toContain(out)
    const html = readFileSync(out, 'utf8')
    expect(html).toContain('<h1>Ridge</h1>')
    expect(html).toMatch(/ ft AMSL/)
    expect(html).not.toMatch(/(src|href)="(?!data:|geo:)/)
    const nowhere = await colsight(...args, '--out', join(folder, 'no', 'such', 'folder.html'))
    expect(nowhere.status).toBe(1)
    expect(nowhere.err).toMatch(/cannot be written; choose a folder/)
    expect((await colsight(...args, '--out', out, '--paper', 'a3')).status).toBe(2)
  })
})

describe('colsight inspect', () => {
  test('says what files are, and which cannot be used', async () => {
    const bad = join(temporaryFolder(), 'bad.tif')
    writeFileSync(bad, 'no raster')
    const { status, out } = await colsight('inspect', DEMO_TERRAIN, bad, '--json')
    expect(status).toBe(1)
    const [demo, refused] = JSON.parse(out)
    expect(demo).toMatchObject({
      name: 'demo-massif.tif',
      cols: 1000,
      rows: 1000,
      crs: { epsg: 32658, shift_error_m: null },
      direction: 'north up',
      missing_share: 0,
      height_unit_m: 1,
    })
    expect(refused.refused).toMatch(/"bad.tif" is not a TIFF file/)
    const text = await colsight('inspect', DEMO_TERRAIN)
    expect(text.status).toBe(0)
    expect(text.out).toMatch(/Cells +1000 x 1000, 30 x 30 m, .* north up/)
    expect((await colsight('inspect', DEMO_TERRAIN, '--epsg', '3.5')).status).toBe(2)
  })

  test('a window of the terrain is worked on in other cells', async () => {
    const run = await colsight(
      ...['profile', '--terrain', DEMO_TERRAIN, ...ENDS, ...HEIGHTS, '--json'],
      ...['--window', '41.218,166.342,12', '--cell', '60'],
    )
    expect(run.err).toBe('')
    expect(JSON.parse(run.out).distance_m).toBeGreaterThan(4900)
    const wide = await colsight(
      ...['profile', '--terrain', DEMO_TERRAIN, ...ENDS, ...HEIGHTS, '--cell', '9000'],
    )
    expect(wide.err).toMatch(/leave only \d+ x \d+ of them/)
  })
})

describe('colsight profile', () => {
  test('prints one JSON object with everything promised', async () => {
    const { status, out } = await colsight(
      'profile',
      '--terrain',
      DEMO_TERRAIN,
      ...ENDS,
      ...HEIGHTS,
      '--json',
    )
    expect(status).toBe(0)
    const answer = JSON.parse(out)
    expect(answer).toMatchObject({
      k_factor: 4 / 3,
      frequency_mhz: 5800,
      from: { lat: 41.20183, lon: 166.32166 },
      to: { lat: 41.2349, lon: 166.3627 },
    })
    expect(answer.distance_m).toBeGreaterThan(4900)
    expect(answer.from.antenna_amsl_m - answer.from.ground_m).toBeCloseTo(2, 9)
    expect(answer.to.antenna_amsl_m - answer.to.ground_m).toBeCloseTo(60, 9)
    const least = Math.min(
      ...answer.samples.slice(1, -3).map(({ clearance_m }: { clearance_m: number }) => clearance_m),
    )
    expect(answer.line_of_sight.min_clearance_m).toBeCloseTo(least, 6)
    expect(answer.line_of_sight.clear).toBe(least >= 0)
    expect(answer.first_fresnel.clear).toBe(answer.first_fresnel.min_clearance_ratio >= 0.6)
    const slant = Math.hypot(
      answer.distance_m,
      answer.to.antenna_amsl_m - answer.from.antenna_amsl_m,
    )
    // Rec. ITU-R P.525, unrounded constant.
    const loss = 32.4478 + 20 * Math.log10(5800) + 20 * Math.log10(slant / 1000)
    expect(answer.loss_db.free_space).toBeCloseTo(loss, 3)
    for (const sample of answer.samples) {
      expect(sample.ray_m - sample.ground_m - sample.bulge_m).toBeCloseTo(sample.clearance_m, 6)
    }
  })

  test('speaks to people without --json', async () => {
    const { out } = await colsight('profile', '--terrain', DEMO_TERRAIN, ...ENDS, ...HEIGHTS)
    expect(out).toMatch(/Line of sight +(clear|blocked), least clearance/)
    expect(out).toContain('a prediction is no promise')
  })
})

describe('what stands on the ground', () => {
  const folder = temporaryFolder()
  const masts = join(folder, 'masts.geojson')
  const line = { type: 'LineString', coordinates: [] as number[][] }
  line.coordinates = [
    [166.33, 41.202],
    [166.324, 41.208],
  ]
  const feature = { type: 'Feature', properties: { height_m: 80 }, geometry: line }
  writeFileSync(masts, JSON.stringify({ type: 'FeatureCollection', features: [feature] }))
  const bare = ['--terrain', DEMO_TERRAIN, '--json']

  test('is in the way of a profile', async () => {
    const ends = [...ENDS, ...HEIGHTS]
    const least = async (...standing: string[]): Promise<number> => {
      const { out } = await colsight('profile', ...bare, ...ends, ...standing)
      return JSON.parse(out).line_of_sight.min_clearance_m
    }
    const open = await least()
    const wooded = await least('--vegetation', '20', '--clearing', '0')
    expect(wooded).toBeLessThan(open - 15)
    expect(await least('--obstacles', masts)).toBeLessThan(open)
    expect(await least('--surface', DEMO_TERRAIN)).toBeCloseTo(open, 6)
  })

  test('is in the way of a coverage, which says what is uncertain and writes more on request', async () => {
    const out = join(folder, 'out')
    const launch = ['--launch', '41.20183,166.32166', '--out', out]
    const coverage = async (...more: string[]) =>
      JSON.parse((await colsight('coverage', ...bare, ...launch, ...more)).out)
    const open = await coverage('--radius', '40', '--also', 'shading,polygons')
    expect(open.terrain_error_m).toBe(9)
    const shares = Object.values<number>(open.shares_with_error)
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9)
    expect(open.shares_with_error.sight_uncertain).toBeGreaterThan(0)
    expect(open.notes[0]).toMatch(/radius of 40 km reaches past the terrain, which ends [\d.]+ km/)
    for (const name of ['shading.png', 'shading.pgw', 'shading.png.aux.xml', 'shading.geojson']) {
      expect(existsSync(join(out, name)), name).toBe(true)
    }
    const wooded = await coverage('--vegetation', '15', '--uncertainty', '0')
    expect(wooded.share_in_sight).toBeLessThan(open.share_in_sight)
    expect(wooded.shares_with_error.sight_uncertain).toBe(0)
    expect(wooded.shares_with_error.blocked).toBeCloseTo(1 - wooded.share_in_sight, 9)
  })
})

describe('a link on the command line', () => {
  const folder = temporaryFolder()
  const file = join(folder, 'video.json')
  writeFileSync(file, writeLink(VIDEO_PRESETS[1]))
  const shared = ['--terrain', DEMO_TERRAIN, '--link', file, '--json']

  test('gives a profile its losses and its budget', async () => {
    const { out } = await colsight('profile', ...shared, ...ENDS, ...HEIGHTS)
    const { loss_db: loss, link } = JSON.parse(out)
    expect(loss.total).toBeCloseTo(loss.free_space + loss.diffraction + loss.foliage, 9)
    const sum = link.items.reduce(
      (db: number, item: { db: number }) => db + item.db,
      link.power_dbm,
    )
    expect(link.received_dbm).toBeCloseTo(sum, 9)
    expect(link.margin_db).toBeCloseTo(link.received_dbm - link.sensitivity_dbm, 9)
  })

  test('gives a coverage its margins, equal to those of the profiles', async () => {
    const out = join(folder, 'out')
    const run = await colsight(
      ...['coverage', ...shared, '--launch', '41.20183,166.32166'],
      ...['--flying-height', '60', '--out', out],
    )
    const { link, files } = JSON.parse(run.out)
    const all = link.share_comfortable + link.share_thin + link.share_lost
    expect(all).toBeCloseTo(1, 9)
    const margin = await readTerrainFile(files.margin)
    const locator = new GridLocator(margin)
    for (const [col, row] of [
      [600, 430],
      [660, 380],
      [420, 500],
    ]) {
      const { latDeg, lonDeg } = locator.toLatLon({ col, row })
      const to = ['--to', `${latDeg},${lonDeg}`]
      const from = ['--from', '41.20183,166.32166', '--from-height', '2', '--to-height', '60']
      const { out } = await colsight('profile', ...shared, ...from, ...to)
      const answer = JSON.parse(out)
      const field = margin.heights[row * margin.cols + col]
      expect(Math.abs(field - answer.link.margin_db)).toBeLessThan(0.6)
    }
  })
})

describe('colsight coverage', () => {
  const out = join(temporaryFolder(), 'deep', 'er')
  const run = () =>
    colsight(
      ...['coverage', '--terrain', DEMO_TERRAIN, '--launch', '41.20183,166.32166'],
      ...[
        '--antenna-height',
        '3',
        '--flying-height',
        '80',
        '--radius',
        '6',
        '--out',
        out,
        '--json',
      ],
    )

  test('writes both fields and a picture, and sums them up', async () => {
    const { status, out: text, err } = await run()
    expect([status, err]).toEqual([0, ''])
    const answer = JSON.parse(text)
    expect(answer.grid).toMatchObject({ cols: 1000, rows: 1000, cell_m: 30 })
    expect(answer.crs).toEqual({ name: 'WGS 84 / UTM zone 58N', epsg: 32658 })
    expect(Object.keys(answer.seconds)).toEqual(['read', 'compute', 'paint', 'write'])
    const sight = await readTerrainFile(join(out, 'sight.tif'))
    const fresnel = await readTerrainFile(join(out, 'fresnel.tif'))
    expect([sight.westM, sight.northM, sight.cellM]).toEqual([594000, 4576000, 30])
    let [answered, inSight, clear] = [0, 0, 0]
    sight.heights.forEach((height, i) => {
      if (Number.isNaN(height)) return
      answered++
      if (height <= 80) inSight++
      if (fresnel.heights[i] <= 80) clear++
    })
    expect(answered).toBe(answer.cells)
    expect(answered * 900).toBeGreaterThan(Math.PI * 6000 ** 2 * 0.99)
    expect(answered * 900).toBeLessThan(Math.PI * 6000 ** 2 * 1.01)
    expect(inSight / answered).toBeCloseTo(answer.share_in_sight, 12)
    expect(clear / answered).toBeCloseTo(answer.share_fresnel_clear, 12)

    const picture = await loadImage(join(out, 'coverage.png'))
    const canvas = createCanvas(picture.width, picture.height)
    const context = canvas.getContext('2d')
    context.drawImage(picture, 0, 0)
    const colours = new Set(
      new Uint32Array(context.getImageData(0, 0, picture.width, picture.height).data.buffer),
    )
    expect(picture.height).toBeGreaterThan(picture.width)
    expect(colours.size).toBeGreaterThan(1000)
  })
})

describe('bad usage and failed runs', () => {
  const notTiff = join(temporaryFolder(), 'notes.tif')
  writeFileSync(notTiff, 'dear pilot')
  const profile = ['profile', '--terrain', DEMO_TERRAIN]
  const coverage = ['coverage', '--terrain', DEMO_TERRAIN, '--out', temporaryFolder()]
  test.each([
    ['an unknown command', 2, ['fly'], /unknown command 'fly'/],
    ['a missing option', 2, [...profile, ...ENDS, '--from-height', '2'], /--to-height/],
    [
      'a negative height',
      2,
      [...profile, ...ENDS, '--from-height', '-2', '--to-height', '9'],
      /cannot be negative/,
    ],
    ['NaN', 2, [...profile, ...ENDS, '--from-height', 'NaN', '--to-height', '9'], /finite number/],
    [
      'infinity',
      2,
      [...profile, ...ENDS, '--from-height', '2', '--to-height', '1e999'],
      /finite number/,
    ],
    ['half a position', 2, [...coverage, '--launch', '41.2'], /LAT,LON/],
    [
      'a sector without width',
      2,
      [...coverage, '--launch', '41.2,166.3', '--sector', '40,0'],
      /AZIMUTH,WIDTH/,
    ],
    ['a latitude of 91', 2, [...coverage, '--launch', '91,0'], /LAT,LON/],
    [
      'a launch off the grid',
      1,
      [...coverage, '--launch', '40,100'],
      /launch point .* is off the terrain/,
    ],
    [
      'no such file',
      1,
      ['coverage', '--terrain', 'no.tif', '--out', '.', '--launch', '1,1'],
      /no file "no.tif"/,
    ],
    [
      'obstacles that are none',
      1,
      ['coverage', '--terrain', DEMO_TERRAIN, '--launch', '41.2,166.3', '--out', '.'].concat(
        '--obstacles',
        notTiff,
      ),
      /"notes.tif" is not GeoJSON/,
    ],
    [
      'a link that is none',
      1,
      ['coverage', '--terrain', DEMO_TERRAIN, '--launch', '41.2,166.3', '--out', '.'].concat(
        '--link',
        notTiff,
      ),
      /"notes.tif" cannot be read as JSON/,
    ],
    [
      'something else to write',
      2,
      [...coverage, '--launch', '41.2,166.3', '--also', 'coffee'],
      /one or more of shading,polygons/,
    ],
    [
      'no TIFF',
      1,
      ['profile', '--terrain', notTiff, ...ENDS, ...HEIGHTS],
      /"notes.tif" is not a TIFF/,
    ],
  ])('%s: exit %d', async (_name, status, args, sentence) => {
    const run = await colsight(...args)
    expect(run.err).toMatch(sentence)
    expect(run.err.split('\n').length).toBe(1)
    expect(run.out).toBe('')
    expect(run.status).toBe(status)
  })

  test('--help everywhere', async () => {
    for (const args of [['--help'], ['profile', '--help'], ['coverage', '--help']]) {
      const run = await colsight(...args)
      expect(run.status).toBe(0)
      expect(run.out).toContain('Usage: colsight')
    }
  })

  test('the files named in package.json are there', () => {
    const { scripts } = JSON.parse(readFileSync(join(project, 'package.json'), 'utf8'))
    for (const command of Object.values<string>(scripts)) {
      for (const file of command.match(/\S+\.ts\b/g) ?? []) {
        expect(existsSync(join(project, file)), file).toBe(true)
      }
    }
  })
})

describe('colsight landing-areas', () => {
  const run = (...args: string[]) =>
    colsight('landing-areas', '--terrain', DEMO_TERRAIN, '--launch', '41.20183,166.32166', ...args)

  test('lists areas with picture and way on foot, and writes them as GeoJSON', async () => {
    const file = join(temporaryFolder(), 'areas.geojson')
    const link = join(temporaryFolder(), 'link.json')
    writeFileSync(link, writeLink(VIDEO_PRESETS[1]))
    const { status, out } = await run('--json', '--geojson', file, '--link', link)
    expect(status).toBe(0)
    const { count, areas } = JSON.parse(out)
    expect(areas).toHaveLength(count)
    expect(count).toBeGreaterThan(100)
    expect(areas[0].picture_at_2_m.share_in_sight).toBeGreaterThan(0.9)
    expect(areas[0].picture_at_2_m.share_with_margin).toBeGreaterThan(0)
    for (const { size_m2, mean_slope_deg, elevation_m, walk } of areas) {
      expect(size_m2).toBeGreaterThanOrEqual(2500)
      expect(mean_slope_deg).toBeLessThanOrEqual(8)
      // The demo's lakes and the sea around it are not offered as land.
      expect(elevation_m).toBeGreaterThan(0.5)
      expect(walk === null || walk.time_s >= 0).toBe(true)
    }
    const json = JSON.parse(readFileSync(file, 'utf8'))
    expect(json.features).toHaveLength(count)
    expect(json.features[0].geometry.type).toBe('Polygon')
  })

  test('a launch in the water, and limits that leave nothing', async () => {
    const terrain = await readTerrainFile(DEMO_TERRAIN)
    const { latDeg, lonDeg } = new GridLocator(terrain).toLatLon({ col: 20, row: 20 })
    const at = `${latDeg.toFixed(5)},${lonDeg.toFixed(5)}`
    const sea = await colsight('landing-areas', '--terrain', DEMO_TERRAIN, '--launch', at, '--json')
    const { walk_problem: problem, areas } = JSON.parse(sea.out)
    expect(problem).toMatch(/launch point lies on perfectly level ground, which may be water/)
    expect(areas[0].walk).toBeNull()
    const { err } = await run('--steepest', '0.01')
    expect(err).toMatch(/most is excluded by the steepest slope allowed/)
  })
})
