import { useSignal, type Signal } from '@preact/signals'
import type { ComponentChildren, TargetedKeyboardEvent, TargetedPointerEvent } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { formatNumber } from '../../core/words/units'
import { MARGIN } from '../../core/chart/profileLayout'

/** A smaller chart than this shows nothing, pixels. */
const LEAST = { width: 160, height: 90 }

/** Room for a chart, drawn again at every size it is given. */
export function ChartBox({
  draw,
}: {
  draw: (size: { width: number; height: number }) => ComponentChildren
}) {
  const container = useRef<HTMLDivElement>(null)
  const size = useSignal({ width: 0, height: 0 })
  useEffect(() => {
    const element = container.current
    if (!element) return
    const observer = new ResizeObserver(([entry]) => {
      const { width, height } = entry.contentRect
      size.value = { width, height }
    })
    observer.observe(element)
    return () => observer.disconnect()
  }, [])
  const { width, height } = size.value
  return (
    <div class="chart" ref={container}>
      {width > LEAST.width && height > LEAST.height && draw({ width, height })}
    </div>
  )
}

interface Scale {
  (value: number): number
  ticks(count: number): number[]
}

interface ChartGridProps {
  readonly width: number
  readonly height: number
  readonly bottom: number
  readonly x: Scale
  readonly y: Scale
  readonly xName: string
  readonly yName: string
}

/** Lines and numbers of both axes. */
export function ChartGrid({ width, height, bottom, x, y, xName, yName }: ChartGridProps) {
  return (
    <g class="grid">
      {y.ticks(Math.max(2, Math.floor(height / 45))).map((tick) => (
        <g key={tick} transform={`translate(0 ${y(tick)})`}>
          <line x1={MARGIN.left} x2={width - MARGIN.right} />
          <text x={MARGIN.left - 8} dy="0.32em" text-anchor="end">
            {formatNumber(tick, 0)}
          </text>
        </g>
      ))}
      {x.ticks(Math.max(2, Math.floor(width / 90))).map((tick) => (
        <text key={tick} x={x(tick)} y={bottom + 16} text-anchor="middle">
          {tick}
        </text>
      ))}
      <text class="axis-name" x={MARGIN.left - 8} y={10} text-anchor="end">
        {yName}
      </text>
      <text class="axis-name" x={width - MARGIN.right} y={height - 4} text-anchor="end">
        {xName}
      </text>
    </g>
  )
}

/** The keys that move a place along a chart: by how many of its steps; null for other keys. */
export function stepOfKey(key: string, count: number, parts: number): number | null {
  const stride = Math.max(1, Math.round(count / parts))
  if (key === 'ArrowRight') return stride
  if (key === 'ArrowLeft') return -stride
  if (key === 'Home') return -count
  return key === 'End' ? count : null
}

/** Steps in which keys go along a chart. */
const KEY_STEPS = 200

/**
 * What a chart along which a place is chosen answers to: press and drag, arrows, Home and End, and
 * Escape for none.
 * @param entryAt the entry nearest to a pixel
 */
export function slides(
  chosen: Signal<number | null>,
  count: number,
  width: number,
  entryAt: (pixel: number) => number,
) {
  const point = ({ clientX, currentTarget }: TargetedPointerEvent<SVGElement>) => {
    const pixel = clientX - currentTarget.getBoundingClientRect().left
    chosen.value = entryAt(Math.min(width - MARGIN.right, Math.max(MARGIN.left, pixel)))
  }
  return {
    onPointerDown: (event: TargetedPointerEvent<SVGElement>) => {
      event.currentTarget.setPointerCapture(event.pointerId)
      point(event)
    },
    onPointerMove: (event: TargetedPointerEvent<SVGElement>) => {
      if (event.buttons & 1) point(event)
    },
    onKeyDown: (event: TargetedKeyboardEvent<SVGElement>) => {
      const by = stepOfKey(event.key, count, KEY_STEPS)
      if (by !== null) {
        const from = Math.min(count - 1, chosen.peek() ?? 0)
        chosen.value = Math.min(count - 1, Math.max(0, from + by))
      } else if (event.key === 'Escape') chosen.value = null
      else return
      event.preventDefault()
    },
  }
}
