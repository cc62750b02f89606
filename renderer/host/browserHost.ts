import type { Host } from '../../core/host'
import { serverStore } from './serverStore'
import { terrainAmong, TERRAIN_ENDINGS } from './pickedFiles'

/** Host of a plain browser page: the page's own file picker and downloads. */
export const browserHost: Host = {
  kind: 'browser',
  store: serverStore,
  openTerrain: async () => terrainAmong(await pickFiles(TERRAIN_ENDINGS, true)),
  rememberTerrain: null,
  // A page may not open a file again by itself.
  findTerrain: () => Promise.resolve(null),
  openText: async (_kind, extensions) => {
    const [file] = await pickFiles(extensions.map((extension) => `.${extension}`).join(','), false)
    return file ? { name: file.name, text: await file.text() } : null
  },
  saveFile: async (name, content) => {
    const address = URL.createObjectURL(new Blob([content as Uint8Array<ArrayBuffer>]))
    const link = document.createElement('a')
    link.href = address
    link.download = name
    link.click()
    // The download reads the address after this returns.
    setTimeout(() => URL.revokeObjectURL(address), 60_000)
    return name
  },
  // A browser has no menu of ours, and opens no files with a page.
  onRequest: () => undefined,
  // The print dialog of every browser saves as PDF.
  savePdf: null,
}

function pickFiles(accept: string, multiple: boolean): Promise<readonly File[]> {
  return new Promise((resolve) => {
    const input = document.createElement('input')
    input.type = 'file'
    input.accept = accept
    input.multiple = multiple
    input.addEventListener('change', () => resolve([...(input.files ?? [])]))
    input.addEventListener('cancel', () => resolve([]))
    input.click()
  })
}
