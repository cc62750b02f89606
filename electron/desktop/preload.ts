import { contextBridge, ipcRenderer, webUtils } from 'electron'
import type { Host, HostRequest } from '../../core/host'
import { CHANNELS } from './channels'

const host: Host = {
  kind: 'desktop',
  store: {
    list: () => ipcRenderer.invoke(CHANNELS.storeList) as Promise<string[]>,
    read: (name) => ipcRenderer.invoke(CHANNELS.storeRead, name) as Promise<string | null>,
    write: (name, text) => ipcRenderer.invoke(CHANNELS.storeWrite, name, text) as Promise<void>,
    remove: (name) => ipcRenderer.invoke(CHANNELS.storeRemove, name) as Promise<void>,
  },
  openTerrain: () => ipcRenderer.invoke(CHANNELS.openTerrain) as ReturnType<Host['openTerrain']>,
  // The page has files, and only here is known where they lie.
  rememberTerrain: (files) =>
    ipcRenderer.invoke(
      CHANNELS.rememberTerrain,
      files.map((file) => webUtils.getPathForFile(file)),
    ) as Promise<void>,
  findTerrain: (files) =>
    ipcRenderer.invoke(CHANNELS.findTerrain, files) as ReturnType<Host['findTerrain']>,
  openText: (kind, extensions) =>
    ipcRenderer.invoke(CHANNELS.openText, kind, extensions) as ReturnType<Host['openText']>,
  saveFile: (name, content) =>
    ipcRenderer.invoke(CHANNELS.saveFile, name, content) as ReturnType<Host['saveFile']>,
  onRequest: (handle) => {
    ipcRenderer.on(CHANNELS.request, (_event, request: HostRequest) => handle(request))
    void ipcRenderer.invoke(CHANNELS.listening)
  },
  savePdf: (name, html) =>
    ipcRenderer.invoke(CHANNELS.savePdf, name, html) as ReturnType<Host['saveFile']>,
}

contextBridge.exposeInMainWorld('colsightDesktop', host)
