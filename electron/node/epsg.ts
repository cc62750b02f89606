import { createRequire } from 'node:module'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import {
  crsOfRow,
  epsgRow,
  type CrsLookup,
  type DatumShifts,
  type EpsgRecord,
  type EpsgRow,
} from '../../core/geodesy/crs'
import { projectFolder } from './paths'

const require = createRequire(import.meta.url)
const shifts = require(join(projectFolder, 'assets/datum-shifts.json')) as DatumShifts

/** The EPSG table of the epsg-index package, one small file a code. */
export const lookUpCrs: CrsLookup = async (epsg) => {
  try {
    const path = require.resolve(`epsg-index/s/${epsg}.json`)
    const row = epsgRow(JSON.parse(await readFile(path, 'utf8')) as EpsgRecord, shifts)
    return row && crsOfRow(epsg, row)
  } catch {
    return undefined
  }
}

/** The whole table as JSON, for the window: a row a code. */
export async function epsgTable(): Promise<string> {
  const file = require.resolve('epsg-index/all.json')
  const all = JSON.parse(await readFile(file, 'utf8')) as Record<string, EpsgRecord>
  const rows = Object.entries(all).flatMap(([code, record]): [string, EpsgRow][] => {
    const row = epsgRow(record, shifts)
    return row ? [[code, row]] : []
  })
  return JSON.stringify(Object.fromEntries(rows))
}
