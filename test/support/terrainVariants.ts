import { execFileSync } from 'node:child_process'
import type { Assumptions } from '../../core/terrain/terrainFile'
import { readFileSync, writeFileSync } from 'node:fs'

/** One way to write the same ground, made from a base file by GDAL's programs. */
export interface Variant {
  readonly name: string
  /** Runs the programs; `to` is the file to be made. */
  readonly make: (base: string, to: string) => void
  /**
   * How well it can agree: `exact` cell for cell, within a rounding of heights on the same cells,
   * or `moved` where heights were interpolated on the way.
   */
  readonly agrees: 'exact' | 'moved' | { readonly withinM: number }
  /** What has to be said of it that it does not say. */
  readonly assume?: Assumptions
  /** Stated error of its datum shift, metres, where that is not none. */
  readonly shiftErrorM?: number
}

const run = (program: string, ...options: string[]) =>
  execFileSync(program, options, { stdio: ['ignore', 'ignore', 'inherit'] })

const translated = (name: string, agrees: Variant['agrees'], ...options: string[]): Variant => ({
  name,
  agrees,
  make: (base, to) => run('gdal_translate', '-q', ...options, base, to),
})
const created = (name: string, agrees: Variant['agrees'], ...options: string[]): Variant =>
  translated(name, agrees, ...options.flatMap((option) => ['-co', option]))
/** Warped by GDAL's own cubic kernel: what is compared is where the ground is. */
const warped = (name: string, ...options: string[]): Variant => ({
  name,
  agrees: 'moved',
  make: (base, to) => run('gdalwarp', '-q', '-overwrite', '-r', 'cubic', '-dstnodata', '-32768', ...options, base, to), // prettier-ignore
})

const system = (code: number | string, ...options: string[]): Variant =>
  warped(`EPSG:${code}`, '-t_srs', `EPSG:${code}`, ...options)
const own = (name: string, definition: string): Variant =>
  warped(`a system of its own: ${name}`, '-t_srs', definition)

/** How far the rotated variant is turned, radians. */
const TURN = Math.PI / 9

const TILED = ['TILED=YES', 'BLOCKXSIZE=64', 'BLOCKYSIZE=32']
/** Heights in US survey feet, as whole numbers of a tenth. */
const FEET = ['-scale', '0', '3048.006096012192', '0', '10000', '-ot', 'Float32', '-a_nodata', '-32768'] // prettier-ignore

export const VARIANTS: readonly Variant[] = [
  // Layout, packing and predictors.
  created('strips of one row', 'exact', 'BLOCKYSIZE=1'),
  created('one strip', 'exact', 'BLOCKYSIZE=10000'),
  created('tiles', 'exact', ...TILED),
  created('LZW', 'exact', 'COMPRESS=LZW'),
  created('LZW, predictor 2, tiles', 'exact', 'COMPRESS=LZW', 'PREDICTOR=2', ...TILED),
  created('LZW, predictor 3', 'exact', 'COMPRESS=LZW', 'PREDICTOR=3'),
  created('deflate', 'exact', 'COMPRESS=DEFLATE'),
  created('deflate, predictor 3, tiles', 'exact', 'COMPRESS=DEFLATE', 'PREDICTOR=3', ...TILED),
  created('PackBits', 'exact', 'COMPRESS=PACKBITS'),
  created('PackBits, tiles', 'exact', 'COMPRESS=PACKBITS', ...TILED),
  created('ZSTD', 'exact', 'COMPRESS=ZSTD'),
  created('ZSTD, predictor 3', 'exact', 'COMPRESS=ZSTD', 'PREDICTOR=3'),
  created('LERC', 'exact', 'COMPRESS=LERC', 'MAX_Z_ERROR=0'),
  created('LERC and deflate', 'exact', 'COMPRESS=LERC_DEFLATE', 'MAX_Z_ERROR=0', ...TILED),
  created('LERC and ZSTD', 'exact', 'COMPRESS=LERC_ZSTD', 'MAX_Z_ERROR=0'),
  created('BigTIFF', 'exact', 'BIGTIFF=YES', 'COMPRESS=DEFLATE'),
  created('big-endian', 'exact', 'ENDIANNESS=BIG'),
  created('big-endian, predictor 2', 'exact', 'ENDIANNESS=BIG', 'COMPRESS=LZW', 'PREDICTOR=2'),
  translated('cloud-optimised', 'exact', '-of', 'COG', '-co', 'BLOCKSIZE=128'),
  {
    name: 'with overviews',
    agrees: 'exact',
    make: (base, to) => {
      run('gdal_translate', '-q', '-co', 'COMPRESS=DEFLATE', ...TILED.flatMap((o) => ['-co', o]), base, to) // prettier-ignore
      run('gdaladdo', '-q', '-r', 'average', to, '2', '4')
    },
  },
  // Kinds of values.
  translated('Int16', 'exact', '-ot', 'Int16'),
  translated('Int16, predictor 2', 'exact', '-ot', 'Int16', '-co', 'COMPRESS=DEFLATE', '-co', 'PREDICTOR=2'), // prettier-ignore
  translated('UInt16', 'exact', '-ot', 'UInt16', '-a_nodata', '0'),
  translated('Int32', 'exact', '-ot', 'Int32'),
  translated('UInt32', 'exact', '-ot', 'UInt32', '-a_nodata', '0'),
  translated('Float64', 'exact', '-ot', 'Float64'),
  translated('Float64, predictor 2', 'exact', '-ot', 'Float64', '-co', 'COMPRESS=LZW', '-co', 'PREDICTOR=2'), // prettier-ignore
  translated('Byte, scaled', { withinM: 5 }, '-ot', 'Byte', '-scale', '0', '2550', '0', '255', '-a_scale', '10', '-a_offset', '0', '-a_nodata', '0'), // prettier-ignore
  translated('Int8, scaled', { withinM: 10 }, '-ot', 'Byte', '-co', 'PIXELTYPE=SIGNEDBYTE', '-scale', '0', '2540', '0', '127', '-a_scale', '20', '-a_nodata', '0'), // prettier-ignore
  translated('scaled with an offset', 'exact', '-ot', 'Int16', '-scale', '100', '3100', '0', '30000', '-a_scale', '0.1', '-a_offset', '100', '-a_nodata', '-32768'), // prettier-ignore
  // Units of height.
  {
    name: 'heights in US survey feet',
    agrees: 'exact',
    make: (base, to) => {
      run('gdal_translate', '-q', ...FEET, base, `${to}.ft.tif`)
      run('gdalwarp', '-q', '-s_srs', 'EPSG:32611+5703', '-t_srs', 'EPSG:32611+6360', '-novshift', '-dstnodata', '-32768', `${to}.ft.tif`, to) // prettier-ignore
    },
  },
  {
    name: 'heights in feet by their unit',
    agrees: 'exact',
    make: (base, to) => {
      run('gdal_translate', '-q', ...FEET, base, `${to}.ft.tif`)
      run('gdal_translate', '-q', '-of', 'VRT', `${to}.ft.tif`, `${to}.vrt`)
      const vrt = readFileSync(`${to}.vrt`, 'utf8')
      const unit = '<UnitType>US survey foot</UnitType></VRTRasterBand>'
      writeFileSync(`${to}.vrt`, vrt.replace('</VRTRasterBand>', unit))
      run('gdal_translate', '-q', `${to}.vrt`, to)
    },
  },
  // Spellings of no data.
  translated('nodata -9999', 'exact', '-a_nodata', '-9999'),
  translated('nodata 0', 'exact', '-a_nodata', '0'),
  translated('nodata NaN', 'exact', '-a_nodata', 'nan'),
  translated('nodata not declared', 'exact', '-a_nodata', 'none'),
  translated('an internal mask', 'exact', '-a_nodata', 'none', '-mask', '1', '--config', 'GDAL_TIFF_INTERNAL_MASK', 'YES', '-co', 'COMPRESS=DEFLATE'), // prettier-ignore
  // Ways to lie on the map.
  translated('PixelIsPoint', 'exact', '-mo', 'AREA_OR_POINT=Point'),
  {
    name: 'south up',
    agrees: 'exact',
    make: (base, to) => {
      blank(base, to, ({ size, geoTransform: [x, dx, , y, , dy] }) => ({
        size,
        affine: [x, dx, 0, y + dy * size[1], 0, -dy],
      }))
      run('gdalwarp', '-q', '-r', 'near', base, to)
    },
  },
  {
    name: 'rotated',
    agrees: 'moved',
    make: (base, to) => {
      blank(base, to, ({ size: [cols, rows], geoTransform: [x, dx, , y] }) => {
        const [cos, sin] = [dx * Math.cos(TURN), dx * Math.sin(TURN)]
        const side = Math.round((cols + rows) * 0.75)
        const [midX, midY] = [x + (cols * dx) / 2, y - (rows * dx) / 2]
        const [west, north] = [midX - (side / 2) * (cos + sin), midY - (side / 2) * (sin - cos)]
        return { size: [side, side], affine: [west, cos, sin, north, sin, -cos] }
      })
      run('gdalwarp', '-q', '-r', 'cubic', base, to)
    },
  },
  warped('oblong cells', '-tr', '30', '20'),
  {
    name: 'a bare TIFF with .tfw and .prj',
    agrees: 'exact',
    make: (base, to) => {
      run('gdal_translate', '-q', '-co', 'PROFILE=BASELINE', '-co', 'TFW=YES', base, to)
      writeFileSync(to.replace(/tif$/, 'prj'), wktOf(base))
    },
  },
  // Systems.
  system(4326),
  system(4269),
  { ...system(4267), shiftErrorM: 12 },
  system(26911),
  { ...system(2229), assume: { heightUnitM: 1 } },
  system(3310),
  system(3857),
  system(5070),
  system(6423),
  own('transverse Mercator', '+proj=tmerc +lat_0=34 +lon_0=-118.05 +k=0.9999 +x_0=50000 +y_0=10000 +ellps=GRS80 +towgs84=0,0,0 +units=m'), // prettier-ignore
  { ...own('Lambert conformal conic in feet', '+proj=lcc +lat_1=33.5 +lat_2=34.8 +lat_0=34 +lon_0=-118 +x_0=1000 +y_0=2000 +datum=WGS84 +units=us-ft'), assume: { heightUnitM: 1 } }, // prettier-ignore
  own('Lambert azimuthal', '+proj=laea +lat_0=34 +lon_0=-118 +datum=WGS84 +units=m'),
  own('Albers', '+proj=aea +lat_1=30 +lat_2=40 +lat_0=34 +lon_0=-118 +datum=NAD83 +units=m'),
  own('geographic on another ellipsoid', '+proj=longlat +ellps=intl +towgs84=-87,-98,-121'),
]

/** The raster of a file as gdalinfo tells it. */
interface Info {
  readonly size: [cols: number, rows: number]
  readonly geoTransform: number[]
}

/** A file in the system of a base, placed by six numbers and without any heights. */
function blank(
  base: string,
  to: string,
  place: (info: Info) => { size: [number, number]; affine: number[] },
): void {
  const text = execFileSync('gdalinfo', ['-json', base], { encoding: 'utf8' })
  const { size, affine } = place(JSON.parse(text) as Info)
  writeFileSync(
    `${to}.vrt`,
    `<VRTDataset rasterXSize="${size[0]}" rasterYSize="${size[1]}">
  <SRS>${wktOf(base).replaceAll('"', '&quot;')}</SRS>
  <GeoTransform>${affine.join(', ')}</GeoTransform>
  <VRTRasterBand dataType="Float32" band="1"><NoDataValue>-32768</NoDataValue></VRTRasterBand>
</VRTDataset>`,
  )
  run('gdal_translate', '-q', `${to}.vrt`, to)
}

function wktOf(path: string): string {
  const wkt = execFileSync('gdalsrsinfo', ['-o', 'wkt1', path], { encoding: 'utf8' })
  return wkt.replace(/\s*\n\s*/g, '')
}
