/**
 * Makes assets/datum-shifts.json: how to come from the datum of a coordinate system to WGS 84 by a
 * Helmert transformation. The EPSG table at hand has none for some systems, wants a shift grid for
 * others, and has rotations of the wrong sign for a few. Asks PROJ's `projinfo` (Debian's
 * proj-bin) for the operation of the EPSG dataset that serves the system's area best without a
 * grid. Run by `npm run datum-shifts`; takes some minutes.
 */
import { execFileSync } from 'node:child_process'
import { createRequire } from 'node:module'
import { readFileSync, writeFileSync } from 'node:fs'

interface EpsgRecord {
  readonly code: string
  readonly kind: string
  readonly proj4: string | null
}

/** Kinds of systems that place something on the map. */
const HORIZONTAL = ['CRS-PROJCRS', 'CRS-GEOGCRS', 'CRS-GEOG3DCRS', 'CRS-COMPOUNDCRS']

/** Datums this close to WGS 84 to be taken as it, metres. */
const SAME_M = 2

const path = createRequire(import.meta.url).resolve('epsg-index/all.json')
const all = Object.values(JSON.parse(readFileSync(path, 'utf8')) as Record<string, EpsgRecord>)

/** Shifts, each once: accuracy in metres and the three or seven towgs84 numbers. */
const shifts: string[] = []
const byCode: Record<string, number> = {}
let unknown = 0

for (const { code, kind, proj4 } of all) {
  if (!HORIZONTAL.includes(kind)) continue
  if (!proj4 || !/\+proj=/.test(proj4) || /\+datum=WGS84|nadgrids=@/.test(proj4)) continue
  const shift = ask(code)
  if (shift) {
    if (!shifts.includes(shift)) shifts.push(shift)
    byCode[code] = shifts.indexOf(shift)
  } else {
    unknown++
  }
}

writeFileSync(
  new URL('datum-shifts.json', import.meta.url),
  `${JSON.stringify({
    source: 'EPSG dataset by PROJ projinfo',
    shifts: shifts.map((shift) => shift.split(' ').map(Number)),
    byCode,
  })}\n`,
)
console.log(`${Object.keys(byCode).length} systems, ${shifts.length} shifts, ${unknown} unknown`)

/** Accuracy and parameters of the first operation that is a Helmert shift or none at all. */
function ask(code: string): string | null {
  let answer: string
  try {
    answer = execFileSync(
      'projinfo',
      [
        ...['-s', `EPSG:${code}`, '-t', 'EPSG:4326', '-o', 'PROJ', '--single-line'],
        ...['--hide-ballpark', '--spatial-test', 'intersects'],
      ],
      { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] },
    )
  } catch {
    return null
  }
  for (const operation of answer.split(/-{20,}/)) {
    const accuracyM = Number(/, ([\d.]+) m, /.exec(operation)?.[1])
    const pipeline = /PROJ string:\n(.*)/.exec(operation)?.[1]
    if (!pipeline || !Number.isFinite(accuracyM)) continue
    if (/gridshift|deformation|molodensky|unknown/.test(pipeline)) continue
    const steps = pipeline.split('+step').filter((step) => /\+proj=helmert/.test(step))
    if (steps.length === 0 && accuracyM <= SAME_M) return `${accuracyM} 0 0 0`
    if (steps.length !== 1 || /\+inv|\+t_epoch/.test(steps[0])) continue
    const value = (name: string) => Number(new RegExp(`\\+${name}=(\\S+)`).exec(steps[0])?.[1] ?? 0)
    const turn = /coordinate_frame/.test(steps[0]) ? -1 : 1
    const moved = ['x', 'y', 'z'].map(value)
    const turned = ['rx', 'ry', 'rz'].map((name) => turn * value(name) || 0)
    const isPlain = turned.every((angle) => angle === 0) && value('s') === 0
    return [accuracyM, ...moved, ...(isPlain ? [] : [...turned, value('s')])].join(' ')
  }
  return null
}
