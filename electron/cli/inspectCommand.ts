import { likelyKind } from '../../core/coverage/uncertainty'
import { PilotError } from '../../core/errors'
import { shiftWords } from '../../core/geodesy/crs'
import { inspectFile, type FileReport, type Oddity } from '../../core/terrain/inspect'
import { openTerrainFiles } from '../node/terrainFile'
import { assumptions, type TerrainOptions } from './terrain'

export interface InspectOptions extends Pick<TerrainOptions, 'epsg' | 'heightsIn' | 'missing'> {
  readonly json: boolean
}

/** What the `inspect` command prints, and whether every file could be used. */
export interface Inspection {
  readonly text: string
  readonly isSound: boolean
}

/** The `inspect` command: what each file is, or the sentence that says why it cannot be used. */
export async function inspectCommand(
  paths: readonly string[],
  options: InspectOptions,
): Promise<Inspection> {
  const answers: (FileReport | { path: string; refused: string })[] = []
  for (const path of paths) {
    try {
      const { files } = await openTerrainFiles([path], assumptions(options))
      answers.push(await inspectFile(files[0]))
    } catch (error) {
      if (!(error instanceof PilotError)) throw error
      answers.push({ path, refused: error.message })
    }
  }
  const text = options.json
    ? JSON.stringify(answers.map((one) => ('refused' in one ? one : reportJson(one))))
    : answers.map((one) => ('refused' in one ? one.refused : reportText(one))).join('\n\n')
  return { text, isSound: answers.every((one) => !('refused' in one)) }
}

function reportJson(report: FileReport): object {
  const { facts, crs, corners, oddities } = report
  return {
    name: facts.name,
    bytes: facts.sizeBytes,
    crs: { name: crs.name, epsg: crs.epsg, shift_error_m: crs.shiftErrorM ?? null },
    cols: report.cols,
    rows: report.rows,
    cell_m: report.cellM,
    step: report.step,
    step_unit: report.stepUnit,
    direction: report.direction,
    corners: corners.map(({ latDeg, lonDeg }) => ({ lat: latDeg, lon: lonDeg })),
    lowest_m: finiteOrNull(report.lowestM),
    highest_m: finiteOrNull(report.highestM),
    missing_share: report.missingShare,
    is_sample: report.isSample,
    values: facts.valueType,
    packing: facts.packing,
    overviews: facts.overviews,
    bands: facts.bands,
    no_data: finiteOrNull(facts.noData),
    has_mask: facts.hasMask,
    height_unit_m: facts.heightUnitM,
    heights: facts.heightsName,
    oddities,
  }
}

function finiteOrNull(value: number | null): number | null {
  return value !== null && Number.isFinite(value) ? value : null
}

function reportText(report: FileReport): string {
  const { facts, crs, corners, cellM, step, stepUnit } = report
  const edges = (values: readonly number[]) =>
    values.map((edge) => Number(edge.toPrecision(6))).join(' x ')
  const range = (values: number[]) =>
    `${Math.min(...values).toFixed(5)} to ${Math.max(...values).toFixed(5)}`
  const likely = likelyKind(Math.sqrt(cellM[0] * cellM[1]))
  return [
    facts.name,
    `  System     ${crs.name}${crs.epsg === null ? '' : ` (EPSG:${crs.epsg})`}${shiftWords(crs)}`,
    `  Cells      ${report.cols} x ${report.rows}, ${edges(step)} ${stepUnit}, ${edges(cellM)} m on the ground, ${report.direction}`,
    `  Extent     latitude ${range(corners.map(({ latDeg }) => latDeg))}, longitude ${range(corners.map(({ lonDeg }) => wrapped(lonDeg)))}`,
    `  Heights    ${report.lowestM.toFixed(1)} to ${report.highestM.toFixed(1)} m${report.isSample ? ' in the cells looked at' : ''}, 1 unit = ${Number(facts.heightUnitM.toPrecision(9))} m${facts.heightsName ? `, ${facts.heightsName}` : ''}`,
    `  Missing    ${(100 * report.missingShare).toFixed(2)} %${report.isSample ? ' of the cells looked at' : ''}, declared as ${facts.noData ?? (facts.hasMask ? 'a mask' : 'nothing')}`,
    `  Error      the file states none; usually nine heights in ten within ${likely.errorM} m for such cells`,
    `  File       ${facts.sizeBytes} bytes, ${facts.valueType}, ${facts.packing}, ${facts.overviews} overviews, ${facts.bands} band${facts.bands === 1 ? '' : 's'}`,
    ...report.oddities.map((oddity) => `  Odd        ${oddityText(oddity)}`),
  ].join('\n')
}

/** A longitude from -180 to 180 degrees. */
function wrapped(lonDeg: number): number {
  return lonDeg - 360 * Math.round(lonDeg / 360)
}

function oddityText({ value, share, kind }: Oddity): string {
  const many = `${(100 * share).toFixed(2)} % of the cells hold ${value}`
  return kind === 'impossible'
    ? `${many}, which is no height on Earth: taken as missing`
    : `${many}, far from all other heights: where it stands for no data, say --missing ${value}`
}
