import { execFileSync, spawnSync } from 'node:child_process'
import { existsSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, test } from 'vitest'
import { writeCsv } from '../../core/exchange/csv'
import type { MapFeature } from '../../core/exchange/features'
import { writeGpx } from '../../core/exchange/gpx'
import { writeKml } from '../../core/exchange/kml'
import { planFeatures, readFeatures } from '../../core/exchange/planFeatures'
import { thinLine } from '../../core/exchange/thinLine'
import { GridLocator, groundAt as groundOn } from '../../core/terrain/grid'
import { madeTerrain } from '../support/madeTerrain'
import { isInstalled, temporaryFolder } from '../support/places'
import { planOn } from '../support/plans'

const project = fileURLToPath(new URL('../../', import.meta.url))

const spot = (latDeg: number, lonDeg: number, amslM: number | null = null, name = '') => ({
  latDeg,
  lonDeg,
  amslM,
  name,
})

const FEATURES: readonly MapFeature[] = [
  {
    kind: 'point',
    name: 'Meadow <&> "wide"',
    note: "cows' place",
    spots: [spot(41.2, 166.3, 512)],
  },
  {
    kind: 'line',
    name: 'Route',
    note: '',
    spots: [
      spot(41.2, 166.3, 600),
      spot(41.25, 166.35, 900, 'Col'),
      spot(-10, -170, 1200.5, 'Far'),
    ],
  },
  {
    kind: 'area',
    name: 'Field',
    note: 'Übung ☂',
    spots: [spot(41.2, 166.3), spot(41.2, 166.31), spot(41.21, 166.31)],
  },
]

describe('features through other formats', () => {
  test('GPX', () => {
    const { features, remarks } = readFeatures(writeGpx('Plan', FEATURES), 'a.gpx')
    expect(remarks).toEqual([])
    const [meadow, route, field] = FEATURES
    // GPX has no areas: they are closed tracks.
    const closed = { ...field, kind: 'line', spots: [...field.spots, field.spots[0]] }
    expect(features).toEqual([meadow, route, closed])
  })

  test('characters by number in names of other programs', () => {
    const text = `<gpx version="1.1"><wpt lat="1" lon="2"><name>Caf&#233; &#x2602; &lt;b&gt; &amp;amp;</name></wpt></gpx>`
    expect(readFeatures(text, 'a.gpx').features[0].name).toBe('Café ☂ <b> &amp;')
  })

  test('KML', () => {
    const { features } = readFeatures(writeKml('Plan', FEATURES), 'a.kml')
    const nameless = FEATURES.map((one) => ({
      ...one,
      spots: one.spots.map((each) => ({ ...each, name: '' })),
    }))
    expect(features).toEqual(nameless)
  })

  test('CSV', () => {
    const text = writeCsv([FEATURES[1], { ...FEATURES[0], name: '=1+1' }])
    expect(text.split('\r\n')[0]).toBe('kind,feature,name,lat,lon,amsl_m,note')
    expect(text).toContain("'=1+1")
    const { features } = readFeatures(writeCsv([FEATURES[1]]), 'a.csv')
    expect(features).toEqual([FEATURES[1]])
    // What was written as several features comes back as several.
    const all = readFeatures(writeCsv(FEATURES), 'all.csv').features
    expect(all.map(({ kind, name }) => [kind, name])).toEqual(
      FEATURES.map(({ kind, name }) => [kind, name]),
    )
    const german = readFeatures('Name;Latitude (°);Longitude (°);Altitude [m]\r\nA;41,5;166,25;700\r\nB;95;1;2\r\n', 'b.csv') // prettier-ignore
    expect(german.features).toEqual([
      { kind: 'point', name: '', note: '', spots: [spot(41.5, 166.25, 700, 'A')] },
    ])
    expect(german.remarks).toEqual(['1 line of "b.csv" has no position on Earth.'])
  })

  test.each([
    ['lat,lon,altitude(feet)\n1,2,3000\n1,3,"3,300"', [914.4, 1005.84], 0],
    ['lat,lon,ele_ft\n1,2,1000\n1,3,2000', [304.8, 609.6], 0],
    ['lat,lon,Altitude (m AGL)\n1,2,80\n1,3,90', [null, null], 1],
    ['lat,lon,alt\n1,2,"1,234.5"\n1,3,700', [1234.5, 700], 0],
    ['lat;lon;alt\n1,0;2,5;1.234,5\n1;3;700,25', [1234.5, 700.25], 0],
    ['lat,lon,alt\n1,2,high\n1,3,700', [null, 700], 1],
  ])('heights of CSV: %j', (text, heights, remarks) => {
    const file = readFeatures(text, 'a.csv')
    const found = file.features[0].spots.map(({ amslM }) => amslM)
    found.forEach((height, i) => {
      if (heights[i] === null) expect(height).toBeNull()
      else expect(height).toBeCloseTo(heights[i], 6)
    })
    expect(file.remarks).toHaveLength(remarks)
  })

  test('what is not taken of KML is said', () => {
    const kml = (shape: string) =>
      `<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark>${shape}</Placemark></kml>`
    const low = readFeatures(kml('<LineString><altitudeMode>relativeToGround</altitudeMode><coordinates>1,2,80 1,3,90</coordinates></LineString>'), 'a.kml') // prettier-ignore
    expect(low.features[0].spots[0].amslM).toBeNull()
    expect(low.remarks[0]).toMatch(/2 heights are above ground and not taken/)
    const ring = (corners: string) =>
      `<LinearRing><coordinates>${corners}</coordinates></LinearRing>`
    const holed = readFeatures(kml(`<Polygon><outerBoundaryIs>${ring('0,0 1,0 1,1 0,1')}</outerBoundaryIs><innerBoundaryIs>${ring('.1,.1 .2,.1 .2,.2 .1,.1')}</innerBoundaryIs></Polygon>`), 'b.kml') // prettier-ignore
    // An open ring keeps its last corner.
    expect(holed.features[0].spots).toHaveLength(4)
    expect(holed.remarks[0]).toMatch(/1 area has holes/)
  })

  test('a line is thinned where it matters least, in height as well', () => {
    const climb = Array.from({ length: 301 }, (_, i) => [i * 100, 0, 600 - Math.abs(i - 150) * 4] as const) // prettier-ignore
    expect(thinLine(climb, 10, 0.01)).toEqual([0, 150, 300])
    const bumps = climb.map(([east, north], i) => [east, north, 100 * Math.sin(i / 5)] as const)
    const kept = thinLine(bumps, 40)
    expect(kept).toHaveLength(40)
    const flat = climb.map(([east]) => [east, 0, 0] as const)
    expect(thinLine(flat, 40, 0.01)).toEqual([0, 300])
  })

  test('a leg that follows the terrain is handed over with its shape', () => {
    const ridge = madeTerrain(
      200,
      25,
      (east) => 1000 + 300 * Math.exp(-(((east - 500) / 150) ** 2)),
    )
    const plan = planOn(ridge)
    const over = { ...plan, route: { ...plan.route, waypoints: [plan.route.waypoints[0]] } }
    const line = planFeatures(over, ridge).find(({ kind }) => kind === 'line')!
    const top = Math.max(...line.spots.map(({ amslM }) => amslM!))
    // The ridge lies between launch point and waypoint; straight lines from spot to spot clear it.
    expect(top).toBeGreaterThan(1300 + 30)
    const locator = new GridLocator(ridge)
    line.spots.slice(1).forEach((to, i) => {
      const from = line.spots[i]
      for (let t = 0; t <= 1; t += 0.1) {
        const latDeg = from.latDeg + (to.latDeg - from.latDeg) * t
        const lonDeg = from.lonDeg + (to.lonDeg - from.lonDeg) * t
        const ground = groundOn(ridge, locator.toGrid({ latDeg, lonDeg }))
        expect(from.amslM! + (to.amslM! - from.amslM!) * t - ground).toBeGreaterThan(20)
      }
    })
  })

  test('elements come in the order that the schemas of GPX 1.1 and KML 2.2 ask for', () => {
    const gpx = writeGpx('Plan', FEATURES)
    const order = ['<metadata>', '<wpt', '<rte>', '<trk>'].map((tag) => gpx.indexOf(tag))
    expect(order).toEqual([...order].sort((a, b) => a - b))
    expect(gpx).toMatch(/<rtept [^>]*>\s*<ele>900.0<\/ele>\s*<name>Col<\/name>/)
    expect(writeGpx('Plan', []).match(/<(wpt|rte|trk)/)).toBeNull()
    const kml = writeKml('Plan', FEATURES)
    expect(kml).toMatch(/<name>[^<]*<\/name>\s*<description>[^<]*<\/description>\s*<Point>/)
    expect(kml).toMatch(/<LineString>\s*<altitudeMode>absolute<\/altitudeMode>\s*<coordinates>/)
  })

  test.skipIf(!isInstalled('ogrinfo'))('GDAL opens what is written', () => {
    const folder = temporaryFolder()
    const ogr = (name: string, text: string) => {
      writeFileSync(join(folder, name), text)
      return execFileSync('ogrinfo', ['-al', '-so', join(folder, name)], { encoding: 'utf8' })
    }
    const gpx = ogr('a.gpx', writeGpx('Plan', FEATURES))
    expect(gpx).toMatch(/Layer name: waypoints[\s\S]*?Feature Count: 1/)
    expect(gpx).toMatch(/Layer name: routes\n[\s\S]*?Feature Count: 1/)
    expect(gpx).toMatch(/Layer name: route_points[\s\S]*?Feature Count: 3/)
    expect(ogr('a.kml', writeKml('Plan', FEATURES))).toMatch(/Feature Count: [13]/)
    expect(ogr('a.csv', writeCsv(FEATURES))).toMatch(/Feature Count: 7/)
  })

  // Sources: the GPX 1.1 schema of topografix.com, and OGC 07-147r2 (KML 2.2); .ci/schemas fetches
  // them out of Debian packages.
  const schemas = join(project, 'test/.schemas')
  const hasSchemas = existsSync(join(schemas, 'ogckml22.xsd')) && isInstalled('xmllint')
  test.skipIf(!hasSchemas)(
    `what is written is valid by the published schemas${hasSchemas ? '' : ' (skipped: no schemas or no xmllint)'}`,
    () => {
      const ground = madeTerrain(200, 25, (east) => 1000 + east / 10)
      const ofPlan = planFeatures(planOn(ground), ground)
      const validate = (name: string, schema: string, text: string) => {
        const path = join(temporaryFolder(), name)
        writeFileSync(path, text)
        const { stderr } = spawnSync(
          'xmllint',
          ['--nonet', '--noout', '--schema', join(schemas, schema), path],
          { encoding: 'utf8' },
        )
        return stderr.trim().split('\n').at(-1)
      }
      for (const features of [FEATURES, ofPlan, []]) {
        const gpx = writeGpx('Plan', features)
        expect(validate('a.gpx', 'gpx11.xsd', gpx)).toMatch(/a.gpx validates$/)
        const kml = writeKml('Plan', features)
        expect(validate('a.kml', 'ogckml22.xsd', kml)).toMatch(/a.kml validates$/)
        // The judge judges: an element out of its order is refused.
        const wrong = gpx.replace('<metadata>', '<trk/><metadata>')
        expect(validate('b.gpx', 'gpx11.xsd', wrong)).toMatch(/fails to validate$/)
      }
    },
  )

  test('a plan with its heights above the sea', () => {
    const ground = madeTerrain(200, 25, (east) => 1000 + east / 10)
    const plan = planOn(ground)
    const features = planFeatures(plan, ground)
    const route = features.find(({ kind }) => kind === 'line')!
    const groundAt = (i: number) => {
      const { col } = new GridLocator(ground).toGrid(plan.route.waypoints[i])
      return 1000 + ((col - 99.5) * 25) / 10
    }
    const named = route.spots.filter(({ name }) => name !== '')
    expect(named.map(({ name }) => name)).toEqual([
      'Launch point',
      'Waypoint 1',
      'Far',
      'Launch point',
    ])
    expect(named[1].amslM).toBeCloseTo(groundAt(0) + 80, 1)
    expect(named[2].amslM).toBe(1500)
    expect(route.spots.at(-1)).toEqual(route.spots[0])
    expect(features.map(({ name }) => name)).toContain('Meadow')
  })
})

describe('files that are refused in a sentence', () => {
  const bomb = `<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]><gpx><name>&b;</name></gpx>`
  test.each([
    ['a.gpx', bomb, /defines a document type of its own/],
    ['a.gpx', '<gpx><wpt lat="1"', /is not whole XML/],
    ['a.gpx', '<html></html>', /is XML but no GPX/],
    ['a.gpx', '<gpx version="1.1"/>', /XML but no GPX|holds no points/],
    ['a.gpx', '<gpx><wpt lat="north" lon="5"/></gpx>', /1 position of "a.gpx" is nowhere on Earth/],
    ['a.kml', 'plain words', /is not whole XML|XML but no KML/],
    ['a.csv', 'a,b\n1,2', /no columns of latitude and longitude/],
    ['a.json', '{', /cannot be read as JSON/],
    ['a.geojson', '{"type":"Feature"}', /no points, lines or areas as GeoJSON/],
    ['a.docx', 'x', /of a kind not read here/],
    ['noending', 'x', /of a kind not read here/],
  ])('%s: %s', (name, text, sentence) => {
    expect(() => readFeatures(text, name)).toThrow(sentence)
  })

  test('a million positions and more', () => {
    const points = '<trkpt lat="1" lon="2"/>'.repeat(1_000_002)
    const text = `<gpx><trk><trkseg>${points}</trkseg></trk></gpx>`
    expect(() => readFeatures(text, 'long.gpx')).toThrow(/more than a million positions/)
  }, 60_000)

  test('half a file, at every length', () => {
    const whole = writeGpx('Plan', FEATURES)
    for (let length = 0; length < whole.length - 1; length += 7) {
      const read = () => readFeatures(whole.slice(0, length), 'half.gpx')
      expect(read, String(length)).toThrow(/"half.gpx"/)
    }
  })
})
