import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { writeCsv } from '../../core/exchange/csv'
import type { MapFeature } from '../../core/exchange/features'
import { writeGpx } from '../../core/exchange/gpx'
import { writeKml } from '../../core/exchange/kml'
import { planFeatures, readFeatures } from '../../core/exchange/planFeatures'
import { GridLocator } from '../../core/terrain/grid'
import { madeTerrain } from '../support/madeTerrain'
import { isInstalled, temporaryFolder } from '../support/places'
import { planOn } from '../support/plans'

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
    expect(features).toEqual([{ ...FEATURES[1], name: '' }])
    const german = readFeatures('Name;Latitude (°);Longitude (°);Altitude [m]\r\nA;41,5;166,25;700\r\nB;95;1;2\r\n', 'b.csv') // prettier-ignore
    expect(german.features).toEqual([
      { kind: 'point', name: '', note: '', spots: [spot(41.5, 166.25, 700, 'A')] },
    ])
    expect(german.remarks).toEqual(['1 lines of "b.csv" have no position on Earth.'])
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

  test('a plan with its heights above the sea', () => {
    const ground = madeTerrain(200, 25, (east) => 1000 + east / 10)
    const plan = planOn(ground)
    const features = planFeatures(plan, ground)
    const route = features.find(({ kind }) => kind === 'line')!
    const groundAt = (i: number) => {
      const { col } = new GridLocator(ground).toGrid(plan.route.waypoints[i])
      return 1000 + ((col - 99.5) * 25) / 10
    }
    expect(route.spots[1].amslM).toBeCloseTo(groundAt(0) + 80, 1)
    expect(route.spots[2].amslM).toBe(1500)
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
    [
      'a.gpx',
      '<gpx><wpt lat="north" lon="5"/></gpx>',
      /1 positions of "a.gpx" are nowhere on Earth/,
    ],
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
