import Papa from 'papaparse'
import { PilotError } from '../errors'
import { isOnEarth, MOST_SPOTS, type FeatureFile, type MapFeature, type Spot } from './features'

/** Spellings of column heads, in small letters without unit and punctuation. */
const HEADS = {
  name: ['name', 'waypoint', 'id', 'label'],
  latDeg: ['lat', 'latitude', 'latdeg', 'y'],
  lonDeg: ['lon', 'lng', 'long', 'longitude', 'londeg', 'x'],
  amslM: ['amsl', 'amslm', 'ele', 'elevation', 'altitude', 'alt'],
} as const
type Column = keyof typeof HEADS

/** Reads a list of positions with column heads as one line. Throws a PilotError. */
export function readCsv(text: string, fileName: string): FeatureFile {
  const { data } = Papa.parse<string[]>(text.replace(/^\uFEFF/, ''), { skipEmptyLines: 'greedy' })
  const [heads = [], ...rows] = data
  if (rows.length > MOST_SPOTS) {
    throw new PilotError(
      `"${fileName}" holds more than a million lines; cut it to the part you need.`,
    )
  }
  const column = (which: Column) =>
    heads.findIndex((head) =>
      (HEADS[which] as readonly string[]).includes(
        head.toLowerCase().replace(/\(.*\)|\[.*\]|[^a-z]/g, ''),
      ),
    )
  const [lat, lon] = [column('latDeg'), column('lonDeg')]
  if (lat < 0 || lon < 0) {
    throw new PilotError(
      `"${fileName}" has no columns of latitude and longitude; name them "lat" and "lon" in its first line.`,
    )
  }
  const [name, height] = [column('name'), column('amslM')]
  const spots: Spot[] = []
  let bad = 0
  for (const row of rows) {
    const number = (at: number) => (row[at]?.trim() ? Number(row[at].replace(',', '.')) : NaN)
    const place = { latDeg: number(lat), lonDeg: number(lon) }
    const amslM = height < 0 ? NaN : number(height)
    if (!isOnEarth(place)) bad++
    else {
      spots.push({
        ...place,
        amslM: Number.isFinite(amslM) ? amslM : null,
        name: row[name]?.trim() ?? '',
      })
    }
  }
  const remarks = bad > 0 ? [`${bad} lines of "${fileName}" have no position on Earth.`] : []
  if (spots.length === 0) return { features: [], remarks }
  const kind = spots.length > 1 ? 'line' : 'point'
  return { features: [{ kind, name: '', note: '', spots }], remarks }
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
