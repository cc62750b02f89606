import type { MenuItemConstructorOptions } from 'electron'
import { vi } from 'vitest'
import type { Electron } from '../../electron/desktop/electronParts'

/** A message of the window itself. */
export const OWN = { senderFrame: { parent: null, url: 'colsight://app/index.html' } }

/** A window that was opened, as the tests look at it. */
export interface FakedWindow {
  readonly options: Record<string, unknown>
  readonly isDestroyed: boolean
  readonly events: ReadonlyMap<string, (event: FakedEvent, details?: object) => void>
  readonly windowOpen: (details: { url: string }) => unknown
}
interface FakedEvent {
  readonly url?: string
  preventDefault(): void
}

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
    permission: null as
      | ((
          contents: unknown,
          name: string,
          answer: (granted: boolean) => void,
          details: { requestingUrl: string },
        ) => void)
      | null,
    permissionCheck: null as ((contents: unknown, name: string, origin: string) => boolean) | null,
    loaded: '',
    /** How often the first window was loaded. */
    loads: 0,
    options: null as Record<string, unknown> | null,
    windows: [] as FakedWindow[],
    isLoadFailing: false,
    sent: [] as [string, unknown][],
    windowEvents: new Map<string, () => void>(),
    focused: 0,
    isMinimized: false,
    /** Windows that dialogs are modal to. */
    parents: [] as unknown[],
    zoom: 1,
    isMaximized: false,
    recent: [] as string[],
    languages: ['en-US'],
    isFirst: true,
    menu: [] as MenuItemConstructorOptions[],
    protocol: null as ((request: Request) => Promise<Response>) | null,
    documentUrl: '',
    workArea: { x: 0, y: 0, width: 1920, height: 1080 },
    isReady: false,
    schemesBeforeReady: false,
    quits: 0,
    /** Index of the button that is pressed. */
    messageAnswer: 1,
  }
  class FakeWindow {
    /** What its page may not do is listened to. */
    readonly events = new Map<string, (event: FakedEvent, details?: object) => void>()
    windowOpen: (details: { url: string }) => unknown = (details) => details
    readonly webContents = {
      on: (name: string, listener: never) => this.events.set(name, listener),
      setWindowOpenHandler: (handler: never) => (this.windowOpen = handler),
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
      const created = seen.appEvents.get('web-contents-created') as
        ((event: object, contents: object) => void) | undefined
      created?.({}, this.webContents)
    }
    isDestroyed = false
    destroy = () => void (this.isDestroyed = true)
    once = (name: string, listener: () => void) => seen.windowEvents.set(name, listener)
    on = (name: string, listener: () => void) => seen.windowEvents.set(name, listener)
    show = vi.fn()
    focus = () => seen.focused++
    isMinimized = () => seen.isMinimized
    restore = () => (seen.isMinimized = false)
    maximize = () => (seen.isMaximized = true)
    isMaximized = () => seen.isMaximized
    getNormalBounds = () => ({ x: 40, y: 50, width: 1000, height: 700 })
    loadURL = async (url: string) => {
      seen.loaded ||= url
      if (this === seen.windows[0]) {
        seen.loads++
        return
      }
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
    screen: { getAllDisplays: () => [{ workArea: seen.workArea }] },
    dialog: {
      showOpenDialog: async (parent: unknown) => {
        seen.parents.push(parent)
        return { canceled: chosen.length === 0, filePaths: chosen }
      },
      showSaveDialog: async (parent: unknown, { defaultPath }: { defaultPath: string }) => {
        seen.parents.push(parent)
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
        setPermissionCheckHandler: (handler: never) => (seen.permissionCheck = handler),
      },
    },
  }
  return { electron: electron as unknown as Electron, seen }
}

export type Seen = ReturnType<typeof fakeElectron>['seen']
