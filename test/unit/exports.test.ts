import { execFileSync } from 'node:child_process'
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { booleanPointInPolygon } from '@turf/turf'
import { strFromU8, unzipSync } from 'fflate'
import { fromFile } from 'geotiff'
import { describe, expect, test } from 'vitest'
import { classOf, COVERAGE_CLASSES, NO_CLASS } from '../../core/coverage/shares'
import { classPolygons } from '../../core/exchange/classPolygons'
import { pictureSidecars, zipPicture } from '../../core/exchange/georeference'
import { writeGeoTiff } from '../../core/exchange/geotiffWriter'
import { classRaster, shadingRgba } from '../../core/exchange/shadingFiles'
import { GridLocator } from '../../core/terrain/grid'
import { seededRandom } from '../support/exactReference'
import { madeTerrain } from '../support/madeTerrain'
import { isInstalled, temporaryFolder } from '../support/places'
import { sweepAll } from '../support/sweepAll'

const terrain = madeTerrain(
  121,
  30,
  (east, north) => 500 + 90 * Math.sin(east / 310) * Math.cos(north / 270),
)
const fields = sweepAll(terrain, { col: 40, row: 70 })
const classes = classRaster(fields, 60, 5)
const names = ['a', 'b', 'c'] as const

/** Speckled classes, with corners that touch, holes and cells of no class. */
function speckles(cols: number, rows: number, seed: number): Uint8Array {
  const random = seededRandom(seed)
  return Uint8Array.from({ length: cols * rows }, () => {
    const pick = Math.floor(random() * 4)
    return pick === 3 ? NO_CLASS : pick
  })
}

describe('shading as GeoJSON', () => {
  test('every cell lies in the polygons of its class and in no others', () => {
    const frame = { ...terrain, cols: 30, rows: 24 }
    const raster = speckles(30, 24, 5)
    const locator = new GridLocator(frame)
    const { features } = classPolygons(raster, frame, names, () => ({}))
    raster.forEach((found, i) => {
      const { lonDeg, latDeg } = locator.toLatLon({ col: i % 30, row: Math.floor(i / 30) })
      const inside = features.filter((feature) => booleanPointInPolygon([lonDeg, latDeg], feature))
      expect(inside.map(({ properties }) => properties?.class)).toEqual(
        found === NO_CLASS ? [] : [names[found]],
      )
    })
  })

  test('rings close and turn as RFC 7946 asks: outer ones against the clock, holes with it', () => {
    const raster = speckles(40, 40, 9)
    const frame = { ...terrain, cols: 40, rows: 40 }
    for (const { geometry } of classPolygons(raster, frame, names, () => ({})).features) {
      for (const polygon of geometry.coordinates) {
        polygon.forEach((ring, i) => {
          expect(ring[0]).toEqual(ring[ring.length - 1])
          let doubled = 0
          for (let k = 1; k < ring.length; k++) {
            doubled += ring[k - 1][0] * ring[k][1] - ring[k][0] * ring[k - 1][1]
          }
          expect(doubled > 0).toBe(i === 0)
        })
      }
    }
  })

  test.skipIf(!isInstalled('gdal_rasterize'))(
    'GDAL burns the polygons back into the same raster',
    () => {
      const folder = temporaryFolder()
      const burnt = COVERAGE_CLASSES.map((name, index) => {
        const path = join(folder, `${name}.geojson`)
        const all = classPolygons(classes, terrain, COVERAGE_CLASSES, () => ({}))
        const mine = { ...all, features: all.features.filter((f) => f.properties?.class === name) }
        if (mine.features.length === 0) return null
        writeFileSync(path, JSON.stringify(mine))
        const [metric, out] = [join(folder, `${name}-utm.geojson`), join(folder, `${name}.tif`)]
        execFileSync('ogr2ogr', ['-t_srs', 'EPSG:32658', metric, path])
        const { westM, northM, cellM, cols, rows } = terrain
        const extent = [westM, northM - rows * cellM, westM + cols * cellM, northM].map(String)
        const size = [String(cols), String(rows)]
        execFileSync('gdal_rasterize', [
          ...['-q', '-burn', String(index + 1), '-te', ...extent, '-ts', ...size, '-ot', 'Byte'],
          ...[metric, out],
        ])
        return out
      })
      return Promise.all(
        burnt.map(async (path, index) => {
          if (!path) return
          const image = await (await fromFile(path)).getImage()
          const values = await image.readRasters({ interleave: true })
          let wrong = 0
          for (let i = 0; i < classes.length; i++) {
            if ((values[i] === index + 1) !== (classes[i] === index)) wrong++
          }
          expect(wrong).toBe(0)
        }),
      )
    },
  )
})

describe('shading as a picture', () => {
  test('one pixel a cell, each with a colour of its class', () => {
    const words = new Uint32Array(shadingRgba(fields, terrain, 60, 5).buffer)
    const colours = COVERAGE_CLASSES.map(() => new Set<number>())
    words.forEach((word, i) => colours[classOf(fields, i, 60, 5)]?.add(word))
    colours.forEach((found, i) => expect(found.size, COVERAGE_CLASSES[i]).toBeLessThanOrEqual(2))
    expect(colours.filter(({ size }) => size > 0).length).toBeGreaterThanOrEqual(3)
  })

  test('the archive holds the picture and what places it', () => {
    const files = unzipSync(zipPicture(new Uint8Array([1, 2, 3]), terrain))
    expect(Object.keys(files).sort()).toEqual(['shading.pgw', 'shading.png', 'shading.png.aux.xml'])
    const lines = strFromU8(files['shading.pgw']).trim().split('\n').map(Number)
    expect(lines).toEqual([30, 0, 0, -30, terrain.westM + 15, terrain.northM - 15])
  })

  test.skipIf(!isInstalled('gdalinfo'))('GDAL finds it on the map', () => {
    const folder = temporaryFolder()
    mkdirSync(folder, { recursive: true })
    const tif = join(folder, 'values.tif')
    writeFileSync(tif, writeGeoTiff(fields.sightM, terrain))
    execFileSync('gdal_translate', [
      ...['-q', '-of', 'PNG', '-ot', 'Byte', '-scale'],
      ...[tif, join(folder, 'shading.png')],
    ])
    for (const [ending, text] of Object.entries(pictureSidecars(terrain))) {
      writeFileSync(join(folder, `shading${ending}`), text)
    }
    const info = JSON.parse(
      execFileSync('gdalinfo', ['-json', join(folder, 'shading.png')], { encoding: 'utf8' }),
    ) as { geoTransform: number[]; coordinateSystem: { wkt: string } }
    expect(info.geoTransform).toEqual([terrain.westM, 30, 0, terrain.northM, 0, -30])
    expect(info.coordinateSystem.wkt).toContain('UTM zone 58N')
    expect(readFileSync(join(folder, 'shading.pgw'), 'utf8')).toMatch(/^30\n/)
  })
})
