/** Names of the messages between the desktop window and the main process. */
export const CHANNELS = {
  openTerrain: 'colsight:open-terrain',
} as const

/** The private protocol: `colsight://app/` is the window, `colsight://terrain/` chosen files. */
export const SCHEME = 'colsight'
export const APP_ORIGIN = `${SCHEME}://app`
