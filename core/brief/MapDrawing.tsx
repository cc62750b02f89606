import type { Geometry } from 'geojson'
import { COVERAGE_CLASSES, NO_CLASS, classOf } from '../coverage/shares'
import type { LatLon } from '../geodesy/earth'
import { geodesic } from '../geodesy/geodesic'
import { VEILS } from '../picture/colours'
import { contourInterval } from '../picture/relief'
import { shapesOnGrid } from '../terrain/shapes'
import type { GridPosition } from '../terrain/grid'
import { formatDistance, formatNumber, HEIGHT_UNIT, METRES_PER_MILE } from '../words/units'
import type { FieldBrief } from './fieldBrief'
import {
  dataUrl,
  frameAround,
  MAP_HEIGHT,
  MAP_WIDTH,
  mapPicture,
  pixelOf,
  swatchPicture,
  type MapFrame,
} from './mapPicture'
import { say } from '../words/say'
import { areaLetter, type BriefWords } from './words'

/** The site from above: relief, coverage, route, landing areas and ways on foot. */
export function MapDrawing({ brief, words }: { brief: FieldBrief; words: BriefWords }) {
  const { site, plan, launch, reckoning, landings } = brief
  const { roadHead, excluded } = plan.landing
  const found = typeof reckoning === 'string' ? null : reckoning
  const outlines = landings.areas.flatMap(({ area }) =>
    area.outline.coordinates[0].map(([lonDeg, latDeg]) => ({ latDeg, lonDeg })),
  )
  const frame = frameAround(site, [
    launch,
    ...plan.route.waypoints,
    ...outlines,
    ...landings.areas.flatMap(({ way }) => way?.line ?? []),
    ...(roadHead ? [roadHead] : []),
    ...(brief.target ? [brief.target] : []),
  ])
  const picture = mapPicture(brief, frame, HEIGHT_UNIT[words.units].metres)
  const spot = (at: LatLon) => pixelOf(frame, site.locator.toGrid(at))
  const path = (line: readonly LatLon[]) => pathOf(line.map(spot))
  const stations = found?.line.stations ?? []
  const turns = found
    ? (['retraced', 'straight'] as const).flatMap((way) => {
        const turn = found.turns[way]
        return turn && !turn.isEnd ? [{ way, sample: turn.sample }] : []
      })
    : []
  const home = spot(launch)
  return (
    <figure class="map">
      <svg
        viewBox={`0 0 ${MAP_WIDTH} ${MAP_HEIGHT}`}
        role="img"
        aria-label={say('mapDrawing.mapPlanPlacesListed')}
      >
        <image
          width={MAP_WIDTH}
          height={MAP_HEIGHT}
          href={dataUrl(picture, 'image/png')}
          preserveAspectRatio="none"
        />
        <KilometreGrid brief={brief} frame={frame} />
        {excluded.map((geometry, i) => (
          <path key={i} class="keep-out" d={shapePath(geometry, brief, frame)} />
        ))}
        {plan.obstacles.map(({ geometry, kind }, i) => (
          <path key={i} class={`obstacle ${kind}`} d={shapePath(geometry, brief, frame)} />
        ))}
        {landings.areas.map(({ way }, i) => way && <path key={i} class="way" d={path(way.line)} />)}
        {landings.areas.map(({ area }, i) => (
          <path key={i} class="landing" d={shapePath(area.outline, brief, frame)} />
        ))}
        <g class="route">
          <path class="halo" d={path(stations)} />
          <path class="line" d={path(stations)} />
        </g>
        {plan.route.waypoints.map((waypoint, i) => {
          const { x, y } = spot(waypoint)
          return (
            <g key={i} class="waypoint" transform={`translate(${x} ${y})`}>
              <circle r={20} />
              <text dy="0.35em">{i + 1}</text>
            </g>
          )
        })}
        {roadHead && <Square at={spot(roadHead)} text={say('mapDrawing.road')} />}
        {brief.target && <Square at={spot(brief.target)} text={say('common.target')} />}
        {landings.areas.map(({ area }, i) => {
          const { x, y } = spot(area.at)
          return (
            <g key={i} class="landing-mark" transform={`translate(${x} ${y})`}>
              <path d="M0 0L34 34" />
              <rect x={24} y={24} width={42} height={42} rx={5} />
              <text x={45} y={45} dy="0.36em">
                {areaLetter(i)}
              </text>
            </g>
          )
        })}
        {found &&
          turns.map(({ way, sample }) => {
            const at = { col: found.line.cols[sample], row: found.line.rows[sample] }
            const { x, y } = pixelOf(frame, at)
            return (
              <g key={way} class="turn-mark" transform={`translate(${x} ${y})`}>
                <path d="M-22 -22L22 22M-22 22L22 -22" />
                <Label
                  x={way === 'retraced' ? 28 : 20}
                  y={way === 'retraced' ? -22 : 54}
                  text={
                    way === 'retraced'
                      ? say('mapDrawing.turnWayBack')
                      : say('mapDrawing.turnStraight')
                  }
                />
              </g>
            )
          })}
        <g class="launch" transform={`translate(${home.x} ${home.y})`}>
          <path d="M0 -30L28 22L-28 22Z" />
          <Label x={34} y={6} text={say('common.launch')} />
        </g>
        <ScaleBar frame={frame} words={words} />
      </svg>
      <Legend brief={brief} frame={frame} words={words} />
    </figure>
  )
}

type Pixel = Readonly<{ x: number; y: number }>

function pathOf(pixels: readonly Pixel[], close = ''): string {
  if (pixels.length === 0) return ''
  return `M${pixels.map(({ x, y }) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}${close}`
}

/** Outline of any geometry; points become small squares. */
function shapePath(geometry: Geometry, { site }: FieldBrief, frame: MapFrame): string {
  const { points, lines, areas } = shapesOnGrid(geometry, site.locator)
  const on = (line: readonly GridPosition[]) => line.map((at) => pixelOf(frame, at))
  return [
    ...points.map((at) => {
      const { x, y } = pixelOf(frame, at)
      return `M${(x - 9).toFixed(1)} ${(y - 9).toFixed(1)}h18v18h-18Z`
    }),
    ...lines.map((line) => pathOf(on(line))),
    ...areas.flat().map((ring) => pathOf(on(ring), 'Z')),
  ].join('')
}

function Label({ x, y, text }: { x: number; y: number; text: string }) {
  return (
    <text class="label" x={x} y={y}>
      {text}
    </text>
  )
}

function Square({ at, text }: { at: Pixel; text: string }) {
  return (
    <g class="square" transform={`translate(${at.x} ${at.y})`}>
      <rect x={-14} y={-14} width={28} height={28} />
      <Label x={22} y={10} text={text} />
    </g>
  )
}

const GRID_STEPS_M = [200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000]
/** Grid lines come at least so far apart, pixels. */
const GRID_GAP = 190

/** Crosses where kilometre lines of the site's own grid meet, and their numbers along the edges. */
function KilometreGrid({ brief, frame }: { brief: FieldBrief; frame: MapFrame }) {
  const { westM, northM, cellM } = brief.site.terrain
  const perPixel = frame.cellsPerPixel * cellM
  const step = GRID_STEPS_M.find((metres) => metres / perPixel >= GRID_GAP) ?? 100_000
  const left = westM + (frame.west + 0.5) * cellM
  const top = northM - (frame.north + 0.5) * cellM
  const linesOf = (from: number, to: number) => {
    const first = Math.ceil(Math.min(from, to) / step) * step
    const last = Math.max(from, to)
    return Array.from({ length: Math.floor((last - first) / step) + 1 }, (_, i) => first + i * step)
  }
  const eastings = linesOf(left, left + MAP_WIDTH * perPixel)
  const northings = linesOf(top - MAP_HEIGHT * perPixel, top)
  const x = (easting: number) => (easting - left) / perPixel
  const y = (northing: number) => (top - northing) / perPixel
  const name = (metres: number) => formatNumber(metres / 1000, step < 1000 ? 1 : 0).replace(',', '')
  return (
    <g class="kilometres">
      {eastings.map((easting) => (
        <text key={easting} x={x(easting)} y={24} text-anchor="middle">
          {name(easting)}
        </text>
      ))}
      {northings.map((northing) => (
        <text key={northing} x={6} y={y(northing)} dy="0.35em">
          {name(northing)}
        </text>
      ))}
      {eastings.flatMap((easting) =>
        northings.map((northing) => (
          <path
            key={`${easting} ${northing}`}
            d={`M${x(easting) - 11} ${y(northing)}h22M${x(easting)} ${y(northing) - 11}v22`}
          />
        )),
      )}
    </g>
  )
}

function ScaleBar({ frame, words }: { frame: MapFrame; words: BriefWords }) {
  const unit = words.units === 'metric' ? 1000 : METRES_PER_MILE
  const steps = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50].map((step) => step * unit)
  const lengthM = steps.findLast((step) => step / frame.pixelM <= 420) ?? steps[0]
  const length = lengthM / frame.pixelM
  return (
    <g class="scale" transform={`translate(${MAP_WIDTH - length - 40} ${MAP_HEIGHT - 36})`}>
      <rect x={-16} y={-44} width={length + 32} height={66} />
      <path d={`M0 -8v16M${length} -8v16M0 0h${length}`} />
      <text x={length / 2} y={-16} text-anchor="middle">
        {formatDistance(lengthM, words.units)}
      </text>
    </g>
  )
}

/** Classes of the cells that the map shows. */
function classesWithin({ site, pictures, plan, errorM }: FieldBrief, frame: MapFrame): Set<number> {
  const { cols, rows } = site.terrain
  const within = (from: number, pixels: number, count: number) =>
    [from, from + pixels * frame.cellsPerPixel].map((edge) =>
      Math.min(count, Math.max(0, Math.round(edge))),
    )
  const [west, east] = within(frame.west, MAP_WIDTH, cols)
  const [north, south] = within(frame.north, MAP_HEIGHT, rows)
  const present = new Set<number>()
  for (let row = north; row < south; row++) {
    for (let col = west; col < east; col++) {
      present.add(classOf(pictures.fields, row * cols + col, plan.flyingHeightM, errorM))
    }
  }
  return present
}

/** What the greys mean, the contours, and which way is north. */
function Legend({
  brief,
  frame,
  words,
}: {
  brief: FieldBrief
  frame: MapFrame
  words: BriefWords
}) {
  const { site, plan, launch } = brief
  const { symbol, metres } = HEIGHT_UNIT[words.units]
  const present = classesWithin(brief, frame)
  const { col, row } = site.locator.toGrid(launch)
  const upward = geodesic(launch, site.locator.toLatLon({ col, row: row - 1 })).bearingDeg
  const turnDeg = ((upward + 540) % 360) - 180
  return (
    <figcaption>
      <ul class="swatches">
        {COVERAGE_CLASSES.map(
          (name, i) =>
            present.has(i) && (
              <li key={name}>
                <img src={dataUrl(swatchPicture(name, 66, 44), 'image/png')} alt="" />{' '}
                {say(VEILS[name].label)}
              </li>
            ),
        )}
        {present.has(NO_CLASS) && <li>{say('mapDrawing.whiteBareNoAnswer')}</li>}
      </ul>
      <p>
        {say('mapDrawing.coverageAboveGroundContours', {
          flyingHeightM: formatNumber(plan.flyingHeightM / metres, 0),
          symbol,
          pixelM: contourInterval(frame.pixelM, metres),
          name: site.terrain.crs.name,
        })}{' '}
        {Math.abs(turnDeg) < 0.05
          ? say('mapDrawing.trueNorthHere')
          : say('mapDrawing.trueNorth', {
              turnDeg: formatNumber(Math.abs(turnDeg), 1),
              side: turnDeg > 0 ? 'east' : 'west',
            })}
        {say('mapDrawing.bearingsTrue')}
      </p>
    </figcaption>
  )
}
