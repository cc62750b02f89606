import type { Host } from '../../core/host'

/** Host of a plain browser page: the page's own file picker and downloads. */
export const browserHost: Host = {
  kind: 'browser',
  openTerrain: async () => {
    const file = await pickFile('.tif,.tiff,.gtiff,image/tiff')
    return file && { name: file.name, blob: file }
  },
  openText: async (_kind, extensions) => {
    const file = await pickFile(extensions.map((extension) => `.${extension}`).join(','))
    return file && { name: file.name, text: await file.text() }
  },
  saveFile: async (name, content) => {
    const address = URL.createObjectURL(new Blob([content as Uint8Array<ArrayBuffer>]))
    const link = document.createElement('a')
    link.href = address
    link.download = name
    link.click()
    // The download reads the address after this returns.
    setTimeout(() => URL.revokeObjectURL(address), 60_000)
    return true
  },
}

function pickFile(accept: string): Promise<File | null> {
  return new Promise((resolve) => {
    const input = document.createElement('input')
    input.type = 'file'
    input.accept = accept
    input.addEventListener('change', () => resolve(input.files?.[0] ?? null))
    input.addEventListener('cancel', () => resolve(null))
    input.click()
  })
}
