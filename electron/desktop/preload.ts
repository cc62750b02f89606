import { contextBridge, ipcRenderer } from 'electron'
import type { Host } from '../../core/host'
import { CHANNELS } from './channels'

const host: Host = {
  kind: 'desktop',
  openTerrain: () => ipcRenderer.invoke(CHANNELS.openTerrain) as ReturnType<Host['openTerrain']>,
  openText: (kind, extensions) =>
    ipcRenderer.invoke(CHANNELS.openText, kind, extensions) as ReturnType<Host['openText']>,
  saveFile: (name, content) =>
    ipcRenderer.invoke(CHANNELS.saveFile, name, content) as ReturnType<Host['saveFile']>,
}

contextBridge.exposeInMainWorld('colsightDesktop', host)
