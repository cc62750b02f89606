import Papa from 'papaparse'
import { PilotError } from '../errors'
import { METRES_PER_FOOT } from '../picture/relief'
import { say } from '../words/say'
import { isOnEarth, MOST_SPOTS, type FeatureFile, type MapFeature, type Spot } from './features'

/** Spellings of column heads, in small letters without unit and punctuation. */
const HEADS = {
  kind: ['kind'],
  feature: ['feature'],
  name: ['name', 'waypoint', 'id', 'label'],
  latDeg: ['lat', 'latitude', 'latdeg', 'y'],
  lonDeg: ['lon', 'lng', 'long', 'longitude', 'londeg', 'x'],
  amslM: ['amsl', 'ele', 'elevation', 'altitude', 'alt', 'height'],
} as const
type Column = keyof typeof HEADS
const KINDS = ['point', 'line', 'area'] as const

/** A head without its unit, and the unit. */
export function headOf(head: string): { words: string; unit: string } {
  const unit = /[([](.*)[)\]]|[_ ](m|ft|feet|agl|deg)$/i.exec(head.trim())
  const words = head
    .replace(unit?.[0] ?? '', '')
    .toLowerCase()
    .replace(/[^a-z]/g, '')
  return { words, unit: (unit?.[1] ?? unit?.[2] ?? '').toLowerCase() }
}

/**
 * Reads a list of positions with column heads: as one line, or as features where columns "kind" and
 * "feature" say so. Throws a PilotError.
 */
export function readCsv(text: string, fileName: string): FeatureFile {
  const { data, errors, meta } = Papa.parse<string[]>(text.replace(/^\uFEFF/, ''), {
    skipEmptyLines: 'greedy',
  })
  const quote = errors.find(({ type }) => type === 'Quotes')
  if (quote) {
    throw new PilotError(say('csv.hasQuotationMarkNever', { fileName, row: (quote.row ?? 0) + 1 }))
  }
  const [first = [], ...rows] = data
  if (rows.length > MOST_SPOTS) {
    throw new PilotError(say('csv.holdsMoreThanMillion', { fileName }))
  }
  const heads = first.map(headOf)
  const column = (which: Column) =>
    heads.findIndex(({ words }) => (HEADS[which] as readonly string[]).includes(words))
  const [lat, lon] = [column('latDeg'), column('lonDeg')]
  if (lat < 0 || lon < 0) {
    throw new PilotError(say('csv.hasNoColumnsLatitude', { fileName }))
  }
  const [name, height, kind, feature] = (['name', 'amslM', 'kind', 'feature'] as const).map(column)
  const unit = heads[height]?.unit ?? ''
  const isOverGround = /agl|rel|ground/.test(unit)
  const factor = /f(ee)?t/.test(unit) ? METRES_PER_FOOT : 1
  const number = numbersWith(meta.delimiter)
  const features: { kind: MapFeature['kind']; key: string; name: string; spots: Spot[] }[] = []
  let [bad, badHeights] = [0, 0]
  for (const row of rows) {
    const cell = (at: number) => row[at]?.trim() ?? ''
    const place = { latDeg: number(cell(lat)), lonDeg: number(cell(lon)) }
    if (!isOnEarth(place)) {
      bad++
      continue
    }
    const amslM = isOverGround ? NaN : factor * number(cell(height))
    if (cell(height) !== '' && Number.isNaN(amslM) && !isOverGround) badHeights++
    const spot = {
      ...place,
      amslM: Number.isFinite(amslM) ? amslM : null,
      name: unguarded(cell(name)),
    }
    const own = KINDS.find((one) => one === cell(kind)) ?? 'line'
    const key = kind < 0 ? '' : `${own} ${cell(feature)}`
    const before = features.at(-1)
    if (before?.key === key && own !== 'point') before.spots.push(spot)
    else features.push({ kind: own, key, name: unguarded(cell(feature)), spots: [spot] })
  }
  return {
    features: features.map(({ kind: of, name: called, spots }) => {
      const isLone = spots.length === 1 || (of === 'area' && spots.length < 3)
      return { kind: isLone ? 'point' : of, name: called, note: '', spots }
    }),
    remarks: [
      ...(bad > 0 ? [say('csv.linesHaveNoPosition', { bad, fileName })] : []),
      ...(badHeights > 0 ? [say('csv.heightsCannotReadNumbers', { badHeights })] : []),
      ...(isOverGround ? [say('csv.heightsAboveGroundNot')] : []),
    ],
  }
}

/** Reads numbers as a file with such a delimiter writes them; NaN for what is none. */
export function numbersWith(delimiter: string): (text: string) => number {
  return (text) => {
    // Most are plain, and there may be millions.
    const direct = text === '' || text.includes(',') ? NaN : Number(text)
    if (!Number.isNaN(direct) && text.trim() !== '') return direct
    const plain = text.replace(/\s/g, '')
    if (plain === '') return NaN
    const [comma, point] = [plain.lastIndexOf(','), plain.lastIndexOf('.')]
    if (comma < 0) return Number(plain)
    // Where both stand in a number the last is the decimal one.
    if (point >= 0) {
      return comma > point
        ? Number(plain.replaceAll('.', '').replace(',', '.'))
        : Number(plain.replaceAll(',', ''))
    }
    const isThousands = delimiter === ',' && /^-?\d{1,3}(,\d{3})+$/.test(plain)
    return Number(isThousands ? plain.replaceAll(',', '') : plain.replace(',', '.'))
  }
}

/** Writes every position of features as a line of CSV (RFC 4180). */
export function writeCsv(features: readonly MapFeature[]): string {
  const rows = features.flatMap(({ kind, name, note, spots }) =>
    spots.map((spot) => [
      kind,
      guarded(name),
      guarded(spot.name),
      spot.latDeg.toFixed(7),
      spot.lonDeg.toFixed(7),
      spot.amslM?.toFixed(1) ?? '',
      guarded(note),
    ]),
  )
  const heads = ['kind', 'feature', 'name', 'lat', 'lon', 'amsl_m', 'note']
  return `${Papa.unparse([heads, ...rows])}\r\n`
}

/** Text that a spreadsheet would take for a formula, kept from it. */
function guarded(text: string): string {
  return /^[=+\-@\t\r]/.test(text) ? `'${text}` : text
}

/** Such text as it was. */
function unguarded(text: string): string {
  return /^'[=+\-@\t\r]/.test(text) ? text.slice(1) : text
}
