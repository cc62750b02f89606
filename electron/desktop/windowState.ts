import type { Rectangle } from 'electron'
import { z } from 'zod'
import type { Store } from '../../core/host'

const NAME = 'window-state'
const SMALLEST = { width: 900, height: 600 }
const USUAL = { width: 1440, height: 900 }
/** So much of a window must lie on a screen for it to be found again, pixels. */
const LEAST_SEEN = 120

const schema = z.object({
  x: z.number().int(),
  y: z.number().int(),
  width: z.number().int().min(SMALLEST.width).max(20_000),
  height: z.number().int().min(SMALLEST.height).max(20_000),
  isMaximized: z.boolean(),
  zoom: z.number().min(0.3).max(4),
})
export type WindowState = z.output<typeof schema>

/** Where a window was last, if a screen is still there; the usual size else. */
export async function lastWindowState(
  store: Store,
  screens: readonly Rectangle[],
): Promise<Partial<WindowState> & typeof USUAL> {
  try {
    const state = schema.parse(JSON.parse((await store.read(NAME)) ?? ''))
    const itsScreen = screens.find(
      ({ x, y, width, height }) =>
        state.x + state.width - LEAST_SEEN >= x &&
        state.x + LEAST_SEEN <= x + width &&
        state.y >= y - 1 &&
        state.y + LEAST_SEEN <= y + height,
    )
    if (itsScreen) return { ...state, ...fitting(state, itsScreen) }
    const { isMaximized, zoom } = state
    return { ...fitting(state, screens[0]), isMaximized, zoom }
  } catch {
    return fitting(USUAL, screens[0])
  }
}

/** A size that a screen has room for. */
function fitting({ width, height }: typeof USUAL, screen: Rectangle | undefined): typeof USUAL {
  if (!screen) return { width, height }
  return { width: Math.min(width, screen.width), height: Math.min(height, screen.height) }
}

export async function keepWindowState(store: Store, state: WindowState): Promise<void> {
  await store.write(NAME, JSON.stringify(state)).catch(() => undefined)
}

export { SMALLEST as SMALLEST_WINDOW }
