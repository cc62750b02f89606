import { PACKINGS } from '../../core/terrain/unpack'
import { likelyKind } from '../../core/coverage/uncertainty'
import type { FileReport, Oddity } from '../../core/terrain/inspect'
import { preferences } from '../state/preferences'
import { formatHeight, formatNumber, formatShare } from '../../core/words/units'
import { assume, isReading, type Opening } from '../state/opening'
import { say, type TextKey } from '../../core/words/say'
import { shiftWords } from '../../core/geodesy/crs'

/** The files of the sheet, each with what it is. */
export function FileList({
  files,
  fileCount,
}: {
  files: readonly FileReport[]
  fileCount: number
}) {
  const more = fileCount - files.length
  return (
    <>
      {files.map((report, i) => (
        <details class="file" key={i} open={files.length === 1}>
          <summary>
            <span class="file-name">{report.facts.name}</span>
            <span class="file-brief">
              {say('fileList.cells', {
                cols: formatNumber(report.cols, 0),
                rows: formatNumber(report.rows, 0),
                cellM: edges(report.cellM),
              })}
            </span>
          </summary>
          <Facts report={report} />
        </details>
      ))}
      {more > 0 && (
        <p class="section-note small">
          {say('fileList.moreWhichOpenedTaken', { more: formatNumber(more, 0) })}
        </p>
      )}
    </>
  )
}

function Facts({ report }: { report: FileReport }) {
  const { units } = preferences.value
  const { facts, crs, corners, direction, stepUnit, step, cellM } = report
  const lats = corners.map(({ latDeg }) => latDeg)
  const lons = corners.map(({ lonDeg }) => lonDeg)
  const range = (values: number[], positive: TextKey, negative: TextKey) => {
    const [lowestM, highestM] = [Math.min(...values), Math.max(...values)]
      .map((value) => (value > 180 ? value - 360 : value < -180 ? value + 360 : value))
      .map(
        (value) => `${formatNumber(Math.abs(value), 4)}° ${say(value < 0 ? negative : positive)}`,
      )
    return say('common.to', { lowestM, highestM })
  }
  const likely = likelyKind(Math.sqrt(cellM[0] * cellM[1]))
  return (
    <dl class="facts">
      <dt>{say('fileList.system')}</dt>
      <dd>
        {crs.name}
        {crs.epsg !== null && say('common.epsg', { epsg: crs.epsg })}
        {shiftWords(crs)}
      </dd>
      <dt>{say('common.cells')}</dt>
      <dd>
        {stepUnit === '°'
          ? say('fileList.arcSecondsGround', {
              step: step.map((edge) => (edge * 3600).toPrecision(4)).join(' × '),
              cellM: edges(cellM),
            })
          : edges(cellM)}
        {direction !== 'north up' && `, ${say(DIRECTIONS[direction])}`}
      </dd>
      <dt>{say('fileList.extent')}</dt>
      <dd>
        {range(lats, 'compass.north', 'compass.south')},{' '}
        {range(lons, 'compass.east', 'compass.west')}
      </dd>
      <dt>{say('common.heights')}</dt>
      <dd>
        {say('common.to', {
          lowestM: formatHeight(report.lowestM, units),
          highestM: formatHeight(report.highestM, units),
        })}
        {report.isSample && say('fileList.inCellsLooked')}
        {say('fileList.held', { heightUnitM: unitName(facts.heightUnitM) })}
        {facts.heightsName && `, ${facts.heightsName}`}
      </dd>
      <dt>{say('fileList.withoutData')}</dt>
      <dd>
        {report.missingShare > 0 ? formatShare(report.missingShare) : say('common.none')}
        {report.isSample && say('fileList.ofCellsLooked')}
        {facts.hasMask && say('fileList.mask')}
        {facts.noData !== null && say('fileList.written', { noData: facts.noData })}
      </dd>
      <dt>{say('fileList.usualError')}</dt>
      <dd>
        {say('fileList.nineHeightsTenWithin', { errorM: formatHeight(likely.errorM, units) })}
      </dd>
      <dt>{say('fileList.file')}</dt>
      <dd>
        {size(facts.sizeBytes)}, {facts.valueType},{' '}
        {facts.packing === PACKINGS[1] ? say('fileList.notPacked') : facts.packing}
        {facts.overviews > 0 && say('fileList.coarserCopies', { overviews: facts.overviews })}
        {facts.bands > 1 && say('fileList.firstBandsRead', { bands: facts.bands })}
      </dd>
    </dl>
  )
}

/** Values that are likely no heights though the files do not say so. */
export function Oddities({
  files,
  request,
}: { files: readonly FileReport[] } & Pick<Opening, 'request'>) {
  const { missing = [] } = request.assume
  const odd = new Map<number, Oddity>()
  for (const { oddities } of files) for (const oddity of oddities) odd.set(oddity.value, oddity)
  const offered = [...odd.values()].filter(({ kind }) => kind === 'apart')
  const impossible = [...odd.values()].filter(({ kind }) => kind === 'impossible')
  return (
    <>
      {impossible.map(({ value, share }) => (
        <p class="section-note" key={value}>
          {say('fileList.cellsHoldWhichNo', { share: formatShare(share), value })}
        </p>
      ))}
      {[...offered.map(({ value }) => value), ...missing].map((value) => (
        <label class="check" key={value}>
          <input
            type="checkbox"
            checked={missing.includes(value)}
            disabled={isReading.value}
            onChange={({ currentTarget }) =>
              void assume({
                missing: currentTarget.checked
                  ? [...missing, value]
                  : missing.filter((other) => other !== value),
              })
            }
          />
          {say('fileList.takeMissing', { value })}
          {odd.has(value) &&
            say('fileList.cellsHoldFarAll', { share: formatShare(odd.get(value)!.share) })}
        </label>
      ))}
    </>
  )
}

/** How a file lies that is not north up. */
const DIRECTIONS: Readonly<Record<Exclude<FileReport['direction'], 'north up'>, TextKey>> = {
  'south up': 'fileList.southUp',
  mirrored: 'fileList.mirrored',
  rotated: 'fileList.rotated',
}
const UNIT_NAMES = [
  ['common.metres', 1],
  ['common.feet', 0.3048],
  ['fileList.usSurveyFeet', 1200 / 3937],
] as const
/** Relative difference of two units that are the same. */
const SAME = 1e-7

export const HEIGHT_UNITS = UNIT_NAMES

function unitName(metres: number): string {
  const known = UNIT_NAMES.find(([, unit]) => Math.abs(unit / metres - 1) < SAME)
  return known ? say(known[0]) : say('fileList.unitsM', { metres })
}

function edges([a, b]: readonly [number, number]): string {
  const [across, down] = [a, b].map((edge) => Number(edge.toPrecision(3)))
  return across === down ? `${across} m` : `${across} × ${down} m`
}

function size(bytes: number): string {
  const megabytes = bytes / 1e6
  return megabytes < 1
    ? `${formatNumber(bytes / 1e3, 0)} kB`
    : megabytes < 1000
      ? `${formatNumber(megabytes, 1)} MB`
      : `${formatNumber(megabytes / 1000, 2)} GB`
}
