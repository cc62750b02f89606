import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import type {
  App,
  BrowserWindow,
  Dialog,
  IpcMain,
  IpcMainInvokeEvent,
  Menu,
  Protocol,
  Screen,
  Session,
} from 'electron'
import { effect } from '@preact/signals-core'
import { z } from 'zod'
import type { Command, HostRequest, Store } from '../../core/host'
import { PREFERENCES_NAME } from '../../core/tileAddress'
import { say } from '../../core/words/say'
import { writeFileAtomically } from '../node/atomicWrite'
import { APP_ORIGIN, CHANNELS, SCHEME } from './channels'
import { Documents } from './documents'
import { followPreferences } from './language'
import { menuTemplate } from './menu'
import { filesAmong, readOpened } from './openedFiles'
import { pdfOf } from './pdf'
import { answerProtocol } from './protocol'
import { TerrainShelf } from './terrainShelf'
import { keepWindowState, lastWindowState, SMALLEST_WINDOW } from './windowState'

/** The few parts of Electron that the desktop host uses. */
export interface Electron {
  readonly app: Pick<
    App,
    | 'whenReady'
    | 'on'
    | 'quit'
    | 'requestSingleInstanceLock'
    | 'addRecentDocument'
    | 'getPreferredSystemLanguages'
  >
  readonly BrowserWindow: new (
    options: Electron.BrowserWindowConstructorOptions,
  ) => Pick<
    BrowserWindow,
    | 'loadURL'
    | 'once'
    | 'on'
    | 'show'
    | 'focus'
    | 'destroy'
    | 'getNormalBounds'
    | 'isMaximized'
    | 'maximize'
    | 'webContents'
  >
  readonly Menu: Pick<typeof Menu, 'buildFromTemplate' | 'setApplicationMenu'>
  readonly screen: Pick<Screen, 'getAllDisplays'>
  readonly dialog: Pick<Dialog, 'showOpenDialog' | 'showSaveDialog' | 'showMessageBoxSync'>
  readonly ipcMain: Pick<IpcMain, 'handle'>
  readonly protocol: Pick<Protocol, 'registerSchemesAsPrivileged' | 'handle'>
  readonly session: {
    readonly defaultSession: Pick<
      Session,
      'setPermissionRequestHandler' | 'setPermissionCheckHandler'
    >
  }
}

/** Folders of what was built. */
export interface Folders {
  readonly window: string
  readonly desktop: string
}

/** What the program was started with. */
export interface Start {
  readonly args: readonly string[]
  readonly platform: NodeJS.Platform
}

/** Starts the desktop host: one sandboxed window on the private protocol. */
export async function startApplication(
  electron: Electron,
  folders: Folders,
  store: Store,
  { args, platform }: Start,
): Promise<void> {
  const { app, dialog, ipcMain, protocol, session, Menu, screen } = electron
  // A second start hands its files to the first, whose store nobody else writes then.
  if (!app.requestSingleInstanceLock()) {
    app.quit()
    return
  }
  const requests = new Requests()
  const openFiles = async (paths: readonly string[]) => {
    for (const path of paths) {
      const file = await readOpened(path)
      if (file) {
        app.addRecentDocument(path)
        requests.send({ kind: 'open', file })
      }
    }
  }
  app.on('second-instance', (_event, argv) => {
    requests.focus()
    void openFiles(filesAmong(argv.slice(1)))
  })
  app.on('open-file', (event, path) => {
    event.preventDefault()
    void openFiles([path])
  })
  protocol.registerSchemesAsPrivileged([
    {
      scheme: SCHEME,
      privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true },
    },
  ])
  app.on('window-all-closed', () => app.quit())
  await app.whenReady()

  const shelf = new TerrainShelf(store)
  const documents = new Documents()
  protocol.handle(SCHEME, answerProtocol(folders.window, shelf, documents, store))
  session.defaultSession.setPermissionRequestHandler((_contents, _permission, answer) =>
    answer(false),
  )
  session.defaultSession.setPermissionCheckHandler(() => false)
  ipcMain.handle(CHANNELS.openTerrain, async (event) => {
    if (!isOwnWindow(event)) return []
    const { canceled, filePaths } = await dialog.showOpenDialog({
      title: say('desktop.openTerrain'),
      properties: ['openFile', 'multiSelections'],
      filters: [
        { name: 'GeoTIFF', extensions: ['tif', 'tiff', 'gtiff'] },
        { name: say('desktop.allFiles'), extensions: ['*'] },
      ],
    })
    return canceled ? [] : shelf.putAll(filePaths)
  })
  ipcMain.handle(CHANNELS.findTerrain, async (event, files: unknown) => {
    if (!isOwnWindow(event)) return null
    const wanted = identities.safeParse(files)
    return wanted.success ? shelf.find(wanted.data) : null
  })
  ipcMain.handle(CHANNELS.openText, async (event, kind: unknown, extensions: unknown) => {
    if (!isOwnWindow(event) || !isText(kind) || !isTexts(extensions)) return null
    const { canceled, filePaths } = await dialog.showOpenDialog({
      title: say('desktop.open', { kind }),
      properties: ['openFile'],
      filters: [
        { name: kind, extensions },
        { name: say('desktop.allFiles'), extensions: ['*'] },
      ],
    })
    if (canceled || filePaths.length === 0) return null
    app.addRecentDocument(filePaths[0])
    return { name: basename(filePaths[0]), text: await readFile(filePaths[0], 'utf8') }
  })
  ipcMain.handle(CHANNELS.saveFile, async (event, name: unknown, content: unknown) => {
    if (!isOwnWindow(event)) return null
    if (!isText(name) || !(content instanceof Uint8Array)) return null
    // The page may suggest a name, never a folder.
    const { canceled, filePath } = await dialog.showSaveDialog({ defaultPath: basename(name) })
    if (canceled || !filePath) return null
    await writeFileAtomically(filePath, content)
    return basename(filePath)
  })
  ipcMain.handle(CHANNELS.savePdf, async (event, name: unknown, html: unknown) => {
    if (!isOwnWindow(event) || !isText(name) || !isText(html)) return null
    const { canceled, filePath } = await dialog.showSaveDialog({ defaultPath: basename(name) })
    if (canceled || !filePath) return null
    await writeFileAtomically(filePath, await pdfOf(electron, documents, html))
    return basename(filePath)
  })
  const speak = () => followPreferences(store, app.getPreferredSystemLanguages())
  await speak()
  handleStore(ipcMain, store, speak)
  const send = (command: Command) => requests.send({ kind: 'command', command })
  // Made anew when another language is spoken.
  effect(() => Menu.setApplicationMenu(Menu.buildFromTemplate(menuTemplate(platform, send))))
  const screens = screen.getAllDisplays().map(({ workArea }) => workArea)
  const window = openWindow(electron, folders, store, await lastWindowState(store, screens))
  ipcMain.handle(CHANNELS.listening, (event) => {
    if (isOwnWindow(event)) requests.listenWith(window)
  })
  await openFiles(filesAmong(args))
}

/**
 * The window's store; every name is checked by it once more.
 * @param speak follows the language of the preferences
 */
function handleStore(ipcMain: Electron['ipcMain'], store: Store, speak: () => Promise<void>): void {
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
    await store.write(String(name), String(text))
    if (name === PREFERENCES_NAME) await speak()
  })
  handle(CHANNELS.storeRemove, (name) => store.remove(String(name)))
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

type Window = InstanceType<Electron['BrowserWindow']>

function openWindow(
  { BrowserWindow, dialog }: Electron,
  folders: Folders,
  store: Store,
  { isMaximized = false, zoom = 1, ...bounds }: Awaited<ReturnType<typeof lastWindowState>>,
): Window {
  const window = new BrowserWindow({
    ...bounds,
    minWidth: SMALLEST_WINDOW.width,
    minHeight: SMALLEST_WINDOW.height,
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
  window.once('ready-to-show', () => {
    if (isMaximized) window.maximize()
    window.webContents.setZoomFactor(zoom)
    window.show()
  })
  window.on('close', () => {
    void keepWindowState(store, {
      ...window.getNormalBounds(),
      isMaximized: window.isMaximized(),
      zoom: window.webContents.getZoomFactor(),
    })
  })
  // The page asks for this where something is not saved.
  window.webContents.on('will-prevent-unload', (event) => {
    const answer = dialog.showMessageBoxSync({
      type: 'question',
      message: say('desktop.unsaved'),
      detail: say('desktop.unsavedKept'),
      buttons: [say('common.close'), say('desktop.stay')],
      defaultId: 1,
      cancelId: 1,
    })
    // Here it means: unload all the same.
    if (answer === 0) event.preventDefault()
  })
  // No such thing is asked for, and none is let in.
  window.webContents.on('will-attach-webview', (event) => event.preventDefault())
  window.webContents.on('will-navigate', (event) => {
    if (!isOwnPage(event.url)) event.preventDefault()
  })
  // The window links to nothing outside, so nothing is handed to the system's browser either.
  window.webContents.setWindowOpenHandler(() => ({ action: 'deny' }))
  void window.loadURL(`${APP_ORIGIN}/index.html`)
  return window
}

/** Requests to the window; they wait until it listens. */
class Requests {
  private window: Window | null = null
  private waiting: HostRequest[] = []

  send(request: HostRequest): void {
    if (this.window) this.window.webContents.send(CHANNELS.request, request)
    else this.waiting.push(request)
  }

  listenWith(window: Window): void {
    this.window = window
    for (const request of this.waiting.splice(0)) this.send(request)
  }

  focus(): void {
    this.window?.focus()
  }
}

function isOwnPage(url: string | undefined): boolean {
  return url?.startsWith(`${APP_ORIGIN}/`) ?? false
}

/** True for messages of the window itself: its own page, and no frame inside it. */
function isOwnWindow({ senderFrame }: Pick<IpcMainInvokeEvent, 'senderFrame'>): boolean {
  return senderFrame !== null && senderFrame.parent === null && isOwnPage(senderFrame.url)
}
