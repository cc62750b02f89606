import type { App, BrowserWindow, Dialog, IpcMain, Menu, Protocol, Screen, Session } from 'electron'

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
  readonly BrowserWindow: new (options: Electron.BrowserWindowConstructorOptions) => BrowserWindow
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
