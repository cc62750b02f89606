import { fileURLToPath } from 'node:url'

/** Folder of the checkout or of the installed package. */
export const projectFolder = fileURLToPath(new URL('../../', import.meta.url))
/** The built window: index.html and what it loads. */
export const windowFolder = fileURLToPath(new URL('../../dist/window/', import.meta.url))
