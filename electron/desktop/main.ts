import { fileURLToPath } from 'node:url'
import { app, BrowserWindow, dialog, ipcMain, Menu, protocol, screen, session } from 'electron'
import { dataFolder, FolderStore } from '../node/folderStore'
import { startApplication } from './application'

void startApplication(
  { app, BrowserWindow, dialog, ipcMain, Menu, protocol, screen, session },
  {
    window: fileURLToPath(new URL('../window/', import.meta.url)),
    desktop: fileURLToPath(new URL('.', import.meta.url)),
  },
  new FolderStore(dataFolder()),
  { args: process.argv.slice(1), folder: process.cwd(), platform: process.platform },
)
