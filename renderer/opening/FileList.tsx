import { likelyKind } from '../../core/coverage/uncertainty'
import type { FileReport, Oddity } from '../../core/terrain/inspect'
import { preferences } from '../state/preferences'
import { formatHeight, formatNumber, formatShare } from '../../core/words/units'
import { assume, isReading, type Opening } from '../state/opening'
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
              {formatNumber(report.cols, 0)} × {formatNumber(report.rows, 0)} cells,{' '}
              {edges(report.cellM)}
            </span>
          </summary>
          <Facts report={report} />
        </details>
      ))}
      {more > 0 && (
        <p class="section-note small">
          And {formatNumber(more, 0)} more, which were opened and are taken to be like these.
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
  const range = (values: number[], positive: string, negative: string) =>
    [Math.min(...values), Math.max(...values)]
      .map((value) => (value > 180 ? value - 360 : value < -180 ? value + 360 : value))
      .map((value) => `${Math.abs(value).toFixed(4)}° ${value < 0 ? negative : positive}`)
      .join(' to ')
  const likely = likelyKind(Math.sqrt(cellM[0] * cellM[1]))
  return (
    <dl class="facts">
      <dt>System</dt>
      <dd>
        {crs.name}
        {crs.epsg !== null && ` (EPSG:${crs.epsg})`}
        {shiftWords(crs)}
      </dd>
      <dt>Cells</dt>
      <dd>
        {stepUnit === '°'
          ? `${step.map((edge) => (edge * 3600).toPrecision(4)).join(' × ')} arc seconds, ${edges(cellM)} on the ground`
          : edges(cellM)}
        {direction !== 'north up' && `, ${direction}`}
      </dd>
      <dt>Extent</dt>
      <dd>
        {range(lats, 'N', 'S')}, {range(lons, 'E', 'W')}
      </dd>
      <dt>Heights</dt>
      <dd>
        {formatHeight(report.lowestM, units)} to {formatHeight(report.highestM, units)}
        {report.isSample && ' in the cells looked at'}, held in {unitName(facts.heightUnitM)}
        {facts.heightsName && `, ${facts.heightsName}`}
      </dd>
      <dt>Without data</dt>
      <dd>
        {report.missingShare > 0 ? formatShare(report.missingShare) : 'none'}
        {report.isSample && ' of the cells looked at'}
        {facts.hasMask && ', by a mask'}
        {facts.noData !== null && `, written as ${facts.noData}`}
      </dd>
      <dt>Usual error</dt>
      <dd>
        nine heights in ten within {formatHeight(likely.errorM, units)} for such cells; the file
        states none
      </dd>
      <dt>File</dt>
      <dd>
        {size(facts.sizeBytes)}, {facts.valueType}, {facts.packing}
        {facts.overviews > 0 && `, ${facts.overviews} coarser copies`}
        {facts.bands > 1 && `; the first of ${facts.bands} bands is read`}
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
          {formatShare(share)} of the cells hold {value}, which is no height on Earth though no file
          declares it: taken as missing.
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
          Take {value} as missing
          {odd.has(value) &&
            `: ${formatShare(odd.get(value)!.share)} of the cells hold it, far from all other heights`}
        </label>
      ))}
    </>
  )
}

const UNIT_NAMES = [
  ['metres', 1],
  ['feet', 0.3048],
  ['US survey feet', 1200 / 3937],
] as const
/** Relative difference of two units that are the same. */
const SAME = 1e-7

export const HEIGHT_UNITS = UNIT_NAMES

function unitName(metres: number): string {
  const known = UNIT_NAMES.find(([, unit]) => Math.abs(unit / metres - 1) < SAME)
  return known ? known[0] : `units of ${metres} m`
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
