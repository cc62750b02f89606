/** Names of the messages between the desktop window and the main process. */
export const CHANNELS = {
  openTerrain: 'colsight:open-terrain',
  rememberTerrain: 'colsight:remember-terrain',
  findTerrain: 'colsight:find-terrain',
  openText: 'colsight:open-text',
  saveFile: 'colsight:save-file',
  savePdf: 'colsight:save-pdf',
  /** From the window once it listens; after that the host sends requests. */
  listening: 'colsight:listening',
  request: 'colsight:request',
  storeList: 'colsight:store-list',
  storeRead: 'colsight:store-read',
  storeWrite: 'colsight:store-write',
  storeRemove: 'colsight:store-remove',
} as const

/**
 * The private protocol: `colsight://app/` is the window, and chosen files lie in a folder of it
 * by token, since a page may fetch from its own origin alone.
 */
export const SCHEME = 'colsight'
export const APP_ORIGIN = `${SCHEME}://app`
export const TERRAIN_FOLDER = 'terrain/'
export const DOCUMENT_FOLDER = 'document/'
