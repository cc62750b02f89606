import { basename, extname } from 'node:path'
import type { BrowserWindow } from 'electron'
import { z } from 'zod'
import { PilotError } from '../../core/errors'
import type { Store } from '../../core/host'
import { PREFERENCES_NAME } from '../../core/tileAddress'
import { say } from '../../core/words/say'
import { writeFileAtomically } from '../node/atomicWrite'
import { CHANNELS } from './channels'
import type { Documents } from './documents'
import type { Electron } from './electronParts'
import { isOwnWindow } from './guards'
import { canBeOpened, readTextFile, reasonOf } from './openedFiles'
import { pdfOf } from './pdf'
import type { Requests } from './requests'
import type { TerrainShelf } from './terrainShelf'
import type { Writes } from './writes'

/** Dialogs and what is done with the files chosen in them; what goes wrong is said in the window. */
export function handleFiles(
  electron: Electron,
  window: BrowserWindow,
  shelf: TerrainShelf,
  documents: Documents,
  requests: Requests,
  writes: Writes,
): void {
  const { app, dialog, ipcMain } = electron
  ipcMain.handle(CHANNELS.openTerrain, async (event) => {
    if (!isOwnWindow(event)) return []
    const { canceled, filePaths } = await dialog.showOpenDialog(window, {
      title: say('desktop.openTerrain'),
      properties: ['openFile', 'multiSelections'],
      filters: [
        { name: 'GeoTIFF', extensions: ['tif', 'tiff', 'gtiff'] },
        { name: say('desktop.allFiles'), extensions: ['*'] },
      ],
    })
    return canceled ? [] : shelf.putAll(filePaths)
  })
  ipcMain.handle(CHANNELS.rememberTerrain, async (event, paths: unknown) => {
    // Files that are not from the disk have no path.
    if (isOwnWindow(event) && isTexts(paths)) await shelf.remember(paths.filter(Boolean))
  })
  ipcMain.handle(CHANNELS.findTerrain, async (event, files: unknown) => {
    if (!isOwnWindow(event)) return null
    const wanted = identities.safeParse(files)
    return wanted.success ? shelf.find(wanted.data) : null
  })
  ipcMain.handle(CHANNELS.openText, async (event, kind: unknown, extensions: unknown) => {
    if (!isOwnWindow(event) || !isText(kind) || !isTexts(extensions)) return null
    const { canceled, filePaths } = await dialog.showOpenDialog(window, {
      title: say('desktop.open', { kind }),
      properties: ['openFile'],
      filters: [
        { name: kind, extensions },
        { name: say('desktop.allFiles'), extensions: ['*'] },
      ],
    })
    if (canceled || filePaths.length === 0) return null
    if (canBeOpened(filePaths[0])) app.addRecentDocument(filePaths[0])
    return requests.orNotice(() => readTextFile(filePaths[0]))
  })
  /** Saves where the pilot says; the page may suggest a name, never a folder. */
  const save = async (name: string, make: () => Promise<Uint8Array>) => {
    const ending = extname(name).slice(1)
    const { canceled, filePath } = await dialog.showSaveDialog(window, {
      defaultPath: basename(name),
      filters: ending ? [{ name: ending.toUpperCase(), extensions: [ending] }] : [],
    })
    if (canceled || !filePath) return null
    const saved = basename(filePath)
    return requests.orNotice(async () => {
      const content = await make()
      try {
        await writes.add(writeFileAtomically(filePath, content))
      } catch (cause) {
        const why = reasonOf(cause)
        throw new PilotError(say('desktop.fileCannotWrite', { name: saved, why }), { cause })
      }
      return saved
    })
  }
  ipcMain.handle(CHANNELS.saveFile, async (event, name: unknown, content: unknown) => {
    if (!isOwnWindow(event) || !isText(name) || !(content instanceof Uint8Array)) return null
    return save(name, () => Promise.resolve(content))
  })
  ipcMain.handle(CHANNELS.savePdf, async (event, name: unknown, html: unknown) => {
    if (!isOwnWindow(event) || !isText(name) || !isText(html)) return null
    return save(name, () => pdfOf(electron, documents, html))
  })
}

/**
 * The window's store; every name is checked by it once more.
 * @param speak follows the language of the preferences
 */
export function handleStore(
  ipcMain: Electron['ipcMain'],
  store: Store,
  writes: Writes,
  speak: () => Promise<void>,
): void {
  const handle = (channel: string, answer: (...given: unknown[]) => Promise<unknown>) =>
    ipcMain.handle(channel, async (event, ...given: unknown[]) => {
      if (!isOwnWindow(event) || !given.every(isText)) {
        throw new Error('refused: not of the window')
      }
      return answer(...given)
    })
  handle(CHANNELS.storeList, () => store.list())
  handle(CHANNELS.storeRead, (name) => store.read(String(name)))
  handle(CHANNELS.storeWrite, async (name, text) => {
    await writes.add(store.write(String(name), String(text)))
    if (name === PREFERENCES_NAME) await speak()
  })
  handle(CHANNELS.storeRemove, (name) => writes.add(store.remove(String(name))))
}

const identities = z.array(
  z.object({ name: z.string(), sizeBytes: z.number(), fingerprint: z.string() }),
)

function isText(value: unknown): value is string {
  return typeof value === 'string'
}

function isTexts(value: unknown): value is string[] {
  return Array.isArray(value) && value.every(isText)
}
