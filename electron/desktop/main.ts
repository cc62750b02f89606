import { fileURLToPath } from 'node:url'
import { app, BrowserWindow, dialog, ipcMain, protocol, session } from 'electron'
import { dataFolder, FolderStore } from '../node/folderStore'
import { startApplication } from './application'

void startApplication(
  { app, BrowserWindow, dialog, ipcMain, protocol, session },
  {
    window: fileURLToPath(new URL('../window/', import.meta.url)),
    desktop: fileURLToPath(new URL('.', import.meta.url)),
  },
  new FolderStore(dataFolder()),
)
