import type { MenuItemConstructorOptions } from 'electron'
import { vi } from 'vitest'
import type { Electron } from '../../electron/desktop/application'

/** A message of the window itself. */
export const OWN = { senderFrame: { parent: null, url: 'colsight://app/index.html' } }

/**
 * A fake of the few Electron calls that the desktop host makes.
 * @param chosen paths that every dialog answers; none is a dialog cancelled
 */
export function fakeElectron(chosen: string[]) {
  const seen = {
    schemes: [] as string[],
    handlers: new Map<string, (event: unknown, ...given: unknown[]) => unknown>(),
    suggested: '',
    appEvents: new Map<string, (...given: never[]) => void>(),
    contentsEvents: new Map<string, (event: { url: string; preventDefault(): void }) => void>(),
    windowOpen: (details: { url: string }): unknown => details,
    permission: null as
      ((contents: unknown, name: string, answer: (granted: boolean) => void) => void) | null,
    loaded: '',
    options: null as Record<string, unknown> | null,
    windows: [] as { options: Record<string, unknown>; isDestroyed: boolean }[],
    isLoadFailing: false,
    sent: [] as [string, unknown][],
    windowEvents: new Map<string, () => void>(),
    focused: 0,
    zoom: 1,
    isMaximized: false,
    recent: [] as string[],
    languages: ['en-US'],
    isFirst: true,
    menu: [] as MenuItemConstructorOptions[],
    protocol: null as ((request: Request) => Promise<Response>) | null,
    documentUrl: '',
    isReady: false,
    schemesBeforeReady: false,
    quits: 0,
    /** Index of the button that is pressed. */
    messageAnswer: 1,
  }
  class FakeWindow {
    readonly webContents = {
      on: (name: string, listener: never) => seen.contentsEvents.set(name, listener),
      setWindowOpenHandler: (handler: never) => (seen.windowOpen = handler),
      send: (channel: string, request: unknown) => seen.sent.push([channel, request]),
      setZoomFactor: (zoom: number) => (seen.zoom = zoom),
      getZoomFactor: () => seen.zoom,
      printToPDF: async (options: object) =>
        Buffer.from(JSON.stringify({ ...options, of: this.page })),
    }
    private page = ''
    constructor(readonly options: Record<string, unknown>) {
      seen.options ??= options
      seen.windows.push(this)
    }
    isDestroyed = false
    destroy = () => void (this.isDestroyed = true)
    once = (name: string, listener: () => void) => seen.windowEvents.set(name, listener)
    on = (name: string, listener: () => void) => seen.windowEvents.set(name, listener)
    show = vi.fn()
    focus = () => seen.focused++
    maximize = () => (seen.isMaximized = true)
    isMaximized = () => seen.isMaximized
    getNormalBounds = () => ({ x: 40, y: 50, width: 1000, height: 700 })
    loadURL = async (url: string) => {
      seen.loaded ||= url
      if (this === seen.windows[0]) return
      if (seen.isLoadFailing) throw new Error('no window')
      // As Electron would, over the private protocol.
      this.page = await (await seen.protocol!(new Request(url))).text()
      seen.documentUrl = url
    }
  }
  const electron = {
    app: {
      whenReady: async () => void (seen.isReady = true),
      on: (name: string, listener: () => void) => seen.appEvents.set(name, listener),
      quit: () => seen.quits++,
      requestSingleInstanceLock: () => seen.isFirst,
      addRecentDocument: (path: string) => seen.recent.push(path),
      getPreferredSystemLanguages: () => seen.languages,
    },
    BrowserWindow: FakeWindow,
    Menu: {
      buildFromTemplate: (template: MenuItemConstructorOptions[]) => template,
      setApplicationMenu: (menu: never) => (seen.menu = menu),
    },
    screen: { getAllDisplays: () => [{ workArea: { x: 0, y: 0, width: 1920, height: 1080 } }] },
    dialog: {
      showOpenDialog: async () => ({ canceled: chosen.length === 0, filePaths: chosen }),
      showSaveDialog: async ({ defaultPath }: { defaultPath: string }) => {
        seen.suggested = defaultPath
        return { canceled: chosen.length === 0, filePath: chosen[0] }
      },
      showMessageBoxSync: () => seen.messageAnswer,
    },
    ipcMain: {
      handle: (channel: string, handler: (event: unknown, ...given: unknown[]) => unknown) =>
        seen.handlers.set(channel, handler),
    },
    protocol: {
      registerSchemesAsPrivileged: (schemes: { scheme: string }[]) => {
        seen.schemes = schemes.map(({ scheme }) => scheme)
        seen.schemesBeforeReady = !seen.isReady
      },
      handle: (_scheme: string, handler: (request: Request) => Promise<Response>) =>
        (seen.protocol = handler),
    },
    session: {
      defaultSession: {
        setPermissionRequestHandler: (handler: never) => (seen.permission = handler),
        setPermissionCheckHandler: vi.fn(),
      },
    },
  }
  return { electron: electron as unknown as Electron, seen }
}

export type Seen = ReturnType<typeof fakeElectron>['seen']
