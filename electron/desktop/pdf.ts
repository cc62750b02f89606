import type { Electron } from './electronParts'
import type { Documents } from './documents'

/**
 * A document of the page's own as PDF, laid out by a window that nobody sees and that runs no
 * script. The paper is the one that the document's style names.
 */
export function pdfOf(
  { BrowserWindow }: Pick<Electron, 'BrowserWindow'>,
  documents: Documents,
  html: string,
): Promise<Uint8Array> {
  return documents.during(html, async (url) => {
    const window = new BrowserWindow({
      show: false,
      webPreferences: {
        sandbox: true,
        contextIsolation: true,
        nodeIntegration: false,
        webviewTag: false,
        javascript: false,
      },
    })
    try {
      await window.loadURL(url)
      return await window.webContents.printToPDF({ preferCSSPageSize: true, printBackground: true })
    } finally {
      window.destroy()
    }
  })
}
