import { useEffect, useRef } from 'preact/hooks'
import type { LatLon } from '../../core/geodesy/earth'
import type { SiteWindow } from '../../core/terrain/siteFrame'
import type { Overview } from '../workers/terrain.worker'
import { say } from '../../core/words/say'
import {
  boxOf,
  LEAST_WINDOW_M,
  MOST_WINDOW_M,
  movedBy,
  placeAt,
  shareOf,
  windowWithCorner,
} from './windowOnOverview'

/** Where a plan has something on the ground. */
export interface Planned {
  /** The launch point, then the waypoints. */
  readonly route: readonly LatLon[]
  readonly landing: readonly LatLon[]
}

interface OverviewMapProps {
  readonly overview: Overview
  /** The window; null where all the ground is taken. */
  readonly window: SiteWindow | null
  /** A new window begins with this size, metres. */
  readonly usualM: number
  /** The plan on this ground, if there is one. */
  readonly planned: Planned
  readonly onChange: (window: SiteWindow) => void
}

const ARROWS: Readonly<Record<string, readonly [number, number] | undefined>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
}
/** Share of the overview that an arrow key moves, and of its size that plus and minus change. */
const STEP = 0.02
const ZOOM = 1.1

/** The overview is no higher than this, CSS pixels. */
const MOST_HEIGHT = 380

const percent = (share: number) => `${(100 * share).toFixed(2)}%`

/** The overview of terrain files, with the window on it to drag, size and move by key. */
export function OverviewMap({ overview, window, usualM, planned, onChange }: OverviewMapProps) {
  const { frame, pixels } = overview
  const place = useRef<HTMLDivElement>(null)
  const canvas = useRef<HTMLCanvasElement>(null)
  useEffect(() => {
    const image = new ImageData(pixels, frame.cols, frame.rows)
    canvas.current?.getContext('2d')?.putImageData(image, 0, 0)
  }, [pixels, frame])

  const at = (event: PointerEvent) => {
    const { left, top, width, height } = place.current!.getBoundingClientRect()
    return { x: (event.clientX - left) / width, y: (event.clientY - top) / height }
  }
  /** Follows the pointer from where it went down. */
  const drag = (event: PointerEvent) => {
    event.preventDefault()
    const from = at(event)
    const isCorner = (event.target as Element).classList.contains('overview-corner')
    const isInside = window && contains(boxOf(frame, window), from)
    const start = isInside || isCorner ? window! : windowAround(placeAt(frame, from.x, from.y))
    if (start !== window) onChange(start)
    const follow = (moved: PointerEvent) => {
      const to = at(moved)
      onChange(
        isCorner
          ? windowWithCorner(frame, start, to.x, to.y)
          : movedBy(frame, start, to.x - from.x, to.y - from.y),
      )
    }
    const target = place.current!
    target.setPointerCapture(event.pointerId)
    target.addEventListener('pointermove', follow)
    target.addEventListener(
      'lostpointercapture',
      () => target.removeEventListener('pointermove', follow),
      { once: true },
    )
  }
  const windowAround = (centre: LatLon): SiteWindow =>
    window ? { ...window, centre } : { centre, eastWestM: usualM, northSouthM: usualM }
  const onKey = (event: KeyboardEvent) => {
    if (!window) return
    const arrow = ARROWS[event.key]
    if (arrow) onChange(movedBy(frame, window, STEP * arrow[0], STEP * arrow[1]))
    else if (event.key === '+' || event.key === '=') onChange(sized(window, ZOOM))
    else if (event.key === '-') onChange(sized(window, 1 / ZOOM))
    else return
    event.preventDefault()
  }
  const box = window && boxOf(frame, window)
  const on = (place: LatLon) => shareOf(frame, place)
  const route = planned.route.map(on)
  return (
    <div
      class="overview"
      ref={place}
      style={{ width: `min(100%, ${Math.round((MOST_HEIGHT * frame.cols) / frame.rows)}px)` }}
      onPointerDown={drag}
    >
      <canvas
        ref={canvas}
        width={frame.cols}
        height={frame.rows}
        role="img"
        aria-label={say('overviewMap.overviewGroundFiles')}
      />
      {box && (
        <button
          type="button"
          class="overview-window"
          aria-label={say('overviewMap.windowArrowKeysMove')}
          style={{
            left: percent(box.left),
            top: percent(box.top),
            width: percent(box.width),
            height: percent(box.height),
          }}
          onKeyDown={onKey}
        >
          <span class="overview-corner" />
        </button>
      )}
      <svg class="overview-plan" viewBox="0 0 1 1" preserveAspectRatio="none" aria-hidden="true">
        <polyline points={route.map(({ x, y }) => `${x},${y}`).join(' ')} />
      </svg>
      {[...route, ...planned.landing.map(on)].map(({ x, y }, i) => (
        <span
          key={i}
          class={i === 0 ? 'overview-launch' : 'overview-waypoint'}
          style={{ left: percent(x), top: percent(y) }}
        />
      ))}
    </div>
  )
}

function contains(
  { left, top, width, height }: ReturnType<typeof boxOf>,
  { x, y }: { x: number; y: number },
): boolean {
  return x >= left && x <= left + width && y >= top && y <= top + height
}

function sized(window: SiteWindow, factor: number): SiteWindow {
  const held = (edgeM: number) => Math.min(MOST_WINDOW_M, Math.max(LEAST_WINDOW_M, edgeM * factor))
  return {
    ...window,
    eastWestM: held(window.eastWestM),
    northSouthM: held(window.northSouthM),
  }
}
