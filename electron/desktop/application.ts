import { effect } from '@preact/signals-core'
import type { Command, Store } from '../../core/host'
import { CHANNELS, SCHEME } from './channels'
import { Documents } from './documents'
import type { Electron } from './electronParts'
import { guardContents, isOwnWindow, isPermitted } from './guards'
import { handleFiles, handleStore } from './handlers'
import { followPreferences } from './language'
import { openWindow, type Folders } from './mainWindow'
import { menuTemplate } from './menu'
import { filesAmong, readTextFile } from './openedFiles'
import { answerProtocol } from './protocol'
import { Requests } from './requests'
import { TerrainShelf } from './terrainShelf'
import { keepWindowState, lastWindowState } from './windowState'
import { Writes } from './writes'

/** What the program was started with. */
export interface Start {
  readonly args: readonly string[]
  /** The folder it was started in. */
  readonly folder: string
  readonly platform: NodeJS.Platform
}

/** Starts the desktop host: one sandboxed window on the private protocol. */
export async function startApplication(
  electron: Electron,
  folders: Folders,
  store: Store,
  { args, folder, platform }: Start,
): Promise<void> {
  const { app, protocol, session, Menu, screen } = electron
  // A second start hands its files to the first, whose store nobody else writes then.
  if (!app.requestSingleInstanceLock()) {
    app.quit()
    return
  }
  const requests = new Requests()
  const openFiles = async (paths: readonly string[]) => {
    for (const path of paths) {
      const file = await requests.orNotice(() => readTextFile(path))
      if (!file) continue
      app.addRecentDocument(path)
      requests.send({ kind: 'open', file })
    }
  }
  app.on('second-instance', (_event, argv, itsFolder) => {
    requests.focus()
    void openFiles(filesAmong(argv.slice(1), itsFolder))
  })
  app.on('open-file', (event, path) => {
    event.preventDefault()
    void openFiles([path])
  })
  app.on('web-contents-created', (_event, contents) => guardContents(contents))
  protocol.registerSchemesAsPrivileged([
    {
      scheme: SCHEME,
      privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true },
    },
  ])
  const writes = new Writes()
  app.on('window-all-closed', () => app.quit())
  app.on('will-quit', (event) => {
    if (writes.areDone) return
    event.preventDefault()
    void writes.done().then(() => app.quit())
  })
  await app.whenReady()

  const shelf = new TerrainShelf(store)
  const documents = new Documents()
  protocol.handle(SCHEME, answerProtocol(folders.window, shelf, documents, store))
  session.defaultSession.setPermissionRequestHandler((_contents, permission, answer, details) =>
    answer(isPermitted(permission, details.requestingUrl)),
  )
  session.defaultSession.setPermissionCheckHandler((_contents, permission, origin) =>
    isPermitted(permission, origin),
  )
  const speak = () => followPreferences(store, app.getPreferredSystemLanguages())
  await speak()
  const send = (command: Command) => requests.send({ kind: 'command', command })
  // Made anew when another language is spoken.
  effect(() => Menu.setApplicationMenu(Menu.buildFromTemplate(menuTemplate(platform, send))))
  const screens = screen.getAllDisplays().map(({ workArea }) => workArea)
  const state = await lastWindowState(store, screens)
  const window = openWindow(electron, folders, requests, state, (its) =>
    writes.add(keepWindowState(store, its)),
  )
  handleFiles(electron, window, shelf, documents, requests, writes)
  handleStore(electron.ipcMain, store, writes, speak)
  electron.ipcMain.handle(CHANNELS.listening, (event) => {
    if (isOwnWindow(event)) requests.listenWith(window)
  })
  await openFiles(filesAmong(args, folder))
}
