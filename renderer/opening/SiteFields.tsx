import type { LatLon } from '../../core/geodesy/earth'
import { BYTES_PER_CELL } from '../../core/terrain/cost'
import { GridLocator, isInside, type GridFrame } from '../../core/terrain/grid'
import { MAX_CELLS, type SiteWindow } from '../../core/terrain/siteFrame'
import { NumberField } from '../panels/NumberField'
import { PositionFields } from '../panels/PositionFields'
import { fillUpTo, opening, openingFrame, wishFor } from '../state/opening'
import { preferences } from '../state/preferences'
import { formatDistance, formatNumber, METRES_PER_MILE } from '../../core/words/units'
import type { Looked, Overview } from '../workers/terrain.worker'
import { OverviewMap, type Planned } from './OverviewMap'
import { say } from '../../core/words/say'
import { LEAST_WINDOW_M, MOST_WINDOW_M, placeAt } from './windowOnOverview'

type Look = NonNullable<Looked['look']>

/** Size of a window that begins, metres, on ground that is wider. */
const USUAL_WINDOW_M = 20_000
/** Voids filled where filling is turned on: a few cells across. */
const SMALL_VOID_CELLS = 100

/** Which part of the ground becomes the site, and in which cells. */
export function SiteFields({ look, planned }: { look: Look; planned: Planned }) {
  const { wish } = opening.value!
  const window = wish.window ?? null
  const { eastWestM, northSouthM } = extentOf(look.overview)
  const usualM = Math.min(USUAL_WINDOW_M, eastWestM / 2, northSouthM / 2)
  const change = (next: SiteWindow | undefined) => wishFor({ ...wish, window: next })
  return (
    <div class="sheet-column">
      <OverviewMap
        overview={look.overview}
        window={window}
        usualM={usualM}
        planned={planned}
        onChange={change}
      />
      {look.files.some(({ isSample, facts }) => isSample && facts.overviews === 0) && (
        <p class="section-note small">{say('site.roughPictureFileLarge')}</p>
      )}
      <div class="choice" role="radiogroup" aria-label={say('site.partGround')}>
        <label class="check">
          <input type="radio" name="part" checked={!window} onChange={() => change(undefined)} />
          {say('site.all')}
        </label>
        <label class="check">
          <input
            type="radio"
            name="part"
            checked={window !== null}
            onChange={() => {
              const centre = planned.route[0] ?? look.suggestion.window?.centre ?? middleOf(look)
              change({ centre, eastWestM: usualM, northSouthM: usualM })
            }}
          />
          {say('site.windowAroundPlace')}
        </label>
      </div>
      {window && <WindowFields window={window} onChange={change} />}
      <CellField look={look} />
      <VoidField look={look} />
      <Outcome />
      <LeftOut planned={planned} />
    </div>
  )
}

/** Says which places of the plan would lie outside. */
function LeftOut({ planned: { route, landing } }: { planned: Planned }) {
  const frame = openingFrame.value
  if (frame === null || typeof frame === 'string') return null
  const locator = new GridLocator(frame)
  const places = [...route, ...landing]
  const outside = places.filter((place) => !isInside(frame, locator.toGrid(place))).length
  if (outside === 0) return null
  return (
    <p class="sheet-problem" role="alert">
      {say('site.placesPlanLaunchPoint', { outside, places: places.length })}
    </p>
  )
}

function WindowFields({
  window,
  onChange,
}: {
  window: SiteWindow
  onChange: (window: SiteWindow) => void
}) {
  const isMetric = preferences.value.units === 'metric'
  const [unit, unitM] = isMetric ? ['km', 1000] : ['mi', METRES_PER_MILE]
  const length = (label: string, key: 'eastWestM' | 'northSouthM') => (
    <NumberField
      label={label}
      unit={unit}
      value={window[key] / unitM}
      digits={2}
      min={Math.ceil((100 * LEAST_WINDOW_M) / unitM) / 100}
      max={Math.floor(MOST_WINDOW_M / unitM)}
      step={1}
      help={say('site.lengthWindowGround')}
      onChange={(value) => onChange({ ...window, [key]: value * unitM })}
    />
  )
  return (
    <div class="fields">
      <PositionFields
        of={say('site.window')}
        at={window.centre}
        onChange={(centre) => onChange({ ...window, centre })}
      />
      {length(say('site.westEast'), 'eastWestM')}
      {length(say('site.southNorth'), 'northSouthM')}
    </div>
  )
}

/** Working cells to choose from, as multiples of the finest there is. */
const MULTIPLES = [0.5, 1, 2, 3, 4, 5, 10, 20]

function CellField({ look }: { look: Look }) {
  const { wish } = opening.value!
  const { finestCellM } = look
  const areaM2 = areaOf(openingFrame.value, wish.window ?? extentOf(look.overview))
  const multiples = MULTIPLES.map((times) =>
    times === 1 ? finestCellM : Number((times * finestCellM).toPrecision(8)),
  )
  const chosen = wish.cellM ?? finestCellM
  const cells = multiples.includes(chosen)
    ? multiples
    : [...multiples, chosen].sort((a, b) => a - b)
  return (
    <div class="field field-wide">
      <label for="cell">{say('site.workingCell')}</label>
      <select
        id="cell"
        value={chosen}
        onChange={({ currentTarget }) => {
          const cellM = Number(currentTarget.value)
          wishFor({ ...wish, cellM: cellM === finestCellM ? undefined : cellM })
        }}
      >
        {cells.map((cellM) => (
          <option key={cellM} value={cellM} disabled={areaM2 / cellM ** 2 > MAX_CELLS}>
            {Number(cellM.toPrecision(4))} m{cellM === finestCellM && say('site.finestThere')}
            {cellM < finestCellM && say('site.smoothBetweenHeights')} – {cost(areaM2 / cellM ** 2)}
          </option>
        ))}
      </select>
    </div>
  )
}

/** What a site of so many cells costs. */
function cost(cells: number): string {
  const count =
    cells >= 1e6
      ? say('site.million', { cells: formatNumber(cells / 1e6, 1) })
      : formatNumber(cells, 0)
  if (cells > MAX_CELLS) return say('site.cellsTooMany', { count })
  const megabytes = Math.max(10, Number(((cells * BYTES_PER_CELL) / 1e6).toPrecision(2)))
  return say('site.cellsMbMemory', { count, megabytes: formatNumber(megabytes, 0) })
}

function VoidField({ look }: { look: Look }) {
  const { fillUpToCells } = opening.value!
  const isFilled = fillUpToCells > 0
  if (!isFilled && look.files.every(({ missingShare }) => missingShare === 0)) return null
  return (
    <div class="void-field">
      <label class="check">
        <input
          type="checkbox"
          checked={isFilled}
          onChange={() => fillUpTo(isFilled ? 0 : SMALL_VOID_CELLS)}
        />
        {say('site.fillSmallVoidsAround')}
      </label>
      {isFilled && (
        <NumberField
          label={say('site.voidsUp')}
          unit="cells"
          value={fillUpToCells}
          digits={0}
          min={1}
          max={100_000}
          step={10}
          help={say('site.largerVoidsStayVoids')}
          onChange={fillUpTo}
        />
      )}
    </div>
  )
}

/** The grid that comes of it, or why there can be none. */
function Outcome() {
  const frame = openingFrame.value
  if (frame === null) return null
  if (typeof frame === 'string') {
    return (
      <p class="sheet-problem" role="alert">
        {frame}
      </p>
    )
  }
  const { units } = preferences.value
  const length = (cells: number) => formatDistance(cells * frame.cellM, units)
  return (
    <p class="section-note" role="status">
      {say('site.cellsM', {
        cols: length(frame.cols),
        rows: length(frame.rows),
        cols2: formatNumber(frame.cols, 0),
        rows2: formatNumber(frame.rows, 0),
        cellM: Number(frame.cellM.toPrecision(6)),
        name: frame.crs.name,
      })}
    </p>
  )
}

function extentOf({ frame }: Overview) {
  return { eastWestM: frame.cols * frame.cellM, northSouthM: frame.rows * frame.cellM }
}

/** Area of the site, square metres: of its grid where there is one, else of what is wished for. */
function areaOf(
  frame: GridFrame | string | null,
  { eastWestM, northSouthM }: { eastWestM: number; northSouthM: number },
): number {
  return frame !== null && typeof frame === 'object'
    ? frame.cols * frame.rows * frame.cellM ** 2
    : eastWestM * northSouthM
}

function middleOf({ overview }: Look): LatLon {
  return placeAt(overview.frame, 0.5, 0.5)
}
