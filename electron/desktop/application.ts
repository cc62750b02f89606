import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import type { App, BrowserWindow, Dialog, IpcMain, Protocol, Session, Shell } from 'electron'
import { writeFileAtomically } from '../node/atomicWrite'
import { APP_ORIGIN, CHANNELS, SCHEME } from './channels'
import { answerProtocol } from './protocol'
import { TerrainShelf } from './terrainShelf'

/** The few parts of Electron that the desktop host uses. */
export interface Electron {
  readonly app: Pick<App, 'whenReady' | 'on' | 'quit'>
  readonly BrowserWindow: new (
    options: Electron.BrowserWindowConstructorOptions,
  ) => Pick<BrowserWindow, 'loadURL' | 'once' | 'show' | 'webContents'>
  readonly dialog: Pick<Dialog, 'showOpenDialog' | 'showSaveDialog'>
  readonly ipcMain: Pick<IpcMain, 'handle'>
  readonly protocol: Pick<Protocol, 'registerSchemesAsPrivileged' | 'handle'>
  readonly session: {
    readonly defaultSession: Pick<
      Session,
      'setPermissionRequestHandler' | 'setPermissionCheckHandler'
    >
  }
  readonly shell: Pick<Shell, 'openExternal'>
}

/** Folders of what was built. */
export interface Folders {
  readonly window: string
  readonly desktop: string
}

/** Starts the desktop host: one sandboxed window on the private protocol. */
export async function startApplication(electron: Electron, folders: Folders): Promise<void> {
  const { app, dialog, ipcMain, protocol, session } = electron
  protocol.registerSchemesAsPrivileged([
    {
      scheme: SCHEME,
      privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true },
    },
  ])
  app.on('window-all-closed', () => app.quit())
  await app.whenReady()

  const shelf = new TerrainShelf()
  protocol.handle(SCHEME, answerProtocol(folders.window, shelf))
  session.defaultSession.setPermissionRequestHandler((_contents, _permission, answer) =>
    answer(false),
  )
  session.defaultSession.setPermissionCheckHandler(() => false)
  ipcMain.handle(CHANNELS.openTerrain, async (event) => {
    if (!isOwnPage(event.senderFrame?.url)) return []
    const { canceled, filePaths } = await dialog.showOpenDialog({
      title: 'Open terrain',
      properties: ['openFile', 'multiSelections'],
      filters: [
        { name: 'GeoTIFF', extensions: ['tif', 'tiff', 'gtiff'] },
        { name: 'All files', extensions: ['*'] },
      ],
    })
    return canceled ? [] : Promise.all(filePaths.map((path) => shelf.put(path)))
  })
  ipcMain.handle(CHANNELS.openText, async (event, kind: unknown, extensions: unknown) => {
    if (!isOwnPage(event.senderFrame?.url) || !isText(kind) || !isTexts(extensions)) return null
    const { canceled, filePaths } = await dialog.showOpenDialog({
      title: `Open ${kind}`,
      properties: ['openFile'],
      filters: [
        { name: kind, extensions },
        { name: 'All files', extensions: ['*'] },
      ],
    })
    if (canceled || filePaths.length === 0) return null
    return { name: basename(filePaths[0]), text: await readFile(filePaths[0], 'utf8') }
  })
  ipcMain.handle(CHANNELS.saveFile, async (event, name: unknown, content: unknown) => {
    if (!isOwnPage(event.senderFrame?.url)) return false
    if (!isText(name) || !(content instanceof Uint8Array)) return false
    // The page may suggest a name, never a folder.
    const { canceled, filePath } = await dialog.showSaveDialog({ defaultPath: basename(name) })
    if (canceled || !filePath) return false
    await writeFileAtomically(filePath, content)
    return true
  })
  openWindow(electron, folders)
}

function isText(value: unknown): value is string {
  return typeof value === 'string'
}

function isTexts(value: unknown): value is string[] {
  return Array.isArray(value) && value.every(isText)
}

function openWindow({ BrowserWindow, shell }: Electron, folders: Folders): void {
  const window = new BrowserWindow({
    width: 1440,
    height: 900,
    minWidth: 900,
    minHeight: 600,
    show: false,
    title: 'Colsight',
    backgroundColor: '#fbfaf7',
    webPreferences: {
      preload: join(folders.desktop, 'preload.cjs'),
      sandbox: true,
      contextIsolation: true,
      nodeIntegration: false,
      webviewTag: false,
    },
  })
  window.once('ready-to-show', () => window.show())
  window.webContents.on('will-navigate', (event) => {
    if (!isOwnPage(event.url)) event.preventDefault()
  })
  window.webContents.setWindowOpenHandler(({ url }) => {
    if (url.startsWith('https://')) void shell.openExternal(url)
    return { action: 'deny' }
  })
  void window.loadURL(`${APP_ORIGIN}/index.html`)
}

function isOwnPage(url: string | undefined): boolean {
  return url?.startsWith(`${APP_ORIGIN}/`) ?? false
}
