import type { Host } from '../../core/host'

/** Host of a plain browser page: files come from the page's own file picker. */
export const browserHost: Host = {
  kind: 'browser',
  openTerrain: () =>
    new Promise((resolve) => {
      const input = document.createElement('input')
      input.type = 'file'
      input.accept = '.tif,.tiff,.gtiff,image/tiff'
      input.addEventListener('change', () => {
        const file = input.files?.[0]
        resolve(file ? { name: file.name, blob: file } : null)
      })
      input.addEventListener('cancel', () => resolve(null))
      input.click()
    }),
}
