import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Electron } from './application'

/**
 * A document of the page's own as PDF, laid out by a window that nobody sees and that runs no
 * script. The paper is the one that the document's style names.
 */
export async function pdfOf(
  { BrowserWindow }: Pick<Electron, 'BrowserWindow'>,
  html: string,
): Promise<Uint8Array> {
  const folder = await mkdtemp(join(tmpdir(), 'colsight-'))
  const window = new BrowserWindow({
    show: false,
    webPreferences: { sandbox: true, contextIsolation: true, javascript: false },
  })
  try {
    // An address that holds the document itself would be too long.
    const path = join(folder, 'brief.html')
    await writeFile(path, html)
    await window.loadFile(path)
    return await window.webContents.printToPDF({ preferCSSPageSize: true, printBackground: true })
  } finally {
    window.destroy()
    await rm(folder, { recursive: true, force: true })
  }
}
