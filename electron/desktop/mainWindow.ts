import { join } from 'node:path'
import type { BrowserWindow } from 'electron'
import { say } from '../../core/words/say'
import { APP_ORIGIN } from './channels'
import type { Electron } from './electronParts'
import type { Requests } from './requests'
import { SMALLEST_WINDOW, type lastWindowState, type WindowState } from './windowState'

/** Folders of what was built. */
export interface Folders {
  readonly window: string
  readonly desktop: string
}

/**
 * Opens the sandboxed window on the private protocol.
 * @param keepState called with how the window was when it closes
 */
export function openWindow(
  { app, BrowserWindow, dialog }: Electron,
  folders: Folders,
  requests: Requests,
  { isMaximized = false, zoom = 1, ...bounds }: Awaited<ReturnType<typeof lastWindowState>>,
  keepState: (state: WindowState) => void,
): BrowserWindow {
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
  const load = () => void window.loadURL(`${APP_ORIGIN}/index.html`)
  window.once('ready-to-show', () => {
    if (isMaximized) window.maximize()
    window.webContents.setZoomFactor(zoom)
    window.show()
  })
  window.on('close', () =>
    keepState({
      ...window.getNormalBounds(),
      isMaximized: window.isMaximized(),
      zoom: window.webContents.getZoomFactor(),
    }),
  )
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
  window.webContents.on('render-process-gone', (_event, { reason }) => {
    if (reason === 'clean-exit') return
    requests.wait()
    const answer = dialog.showMessageBoxSync({
      type: 'error',
      message: say('desktop.pageGone', { reason }),
      detail: say('desktop.pageGoneKept'),
      buttons: [say('desktop.openAgain'), say('menu.quit')],
    })
    if (answer === 0) load()
    else app.quit()
  })
  load()
  return window
}
