import { fileURLToPath } from 'node:url'
import { app, BrowserWindow, dialog, ipcMain, protocol, session, shell } from 'electron'
import { dataFolder, FolderStore } from '../node/folderStore'
import { startApplication } from './application'

void startApplication(
  { app, BrowserWindow, dialog, ipcMain, protocol, session, shell },
  {
    window: fileURLToPath(new URL('../window/', import.meta.url)),
    desktop: fileURLToPath(new URL('.', import.meta.url)),
  },
  new FolderStore(dataFolder()),
)
