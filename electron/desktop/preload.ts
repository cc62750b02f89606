import { contextBridge, ipcRenderer } from 'electron'
import type { Host } from '../../core/host'
import { CHANNELS } from './channels'

const host: Host = {
  kind: 'desktop',
  openTerrain: () => ipcRenderer.invoke(CHANNELS.openTerrain) as ReturnType<Host['openTerrain']>,
}

contextBridge.exposeInMainWorld('colsightDesktop', host)
