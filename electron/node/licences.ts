import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { projectFolder } from './paths'

interface Lock {
  readonly packages: Readonly<Record<string, { readonly dev?: boolean }>>
}

/** Built into the desktop program although it is installed for building alone. */
const SHIPPED = 'node_modules/electron'

/**
 * The licences of all packages that Colsight needs to run, and of Electron, as JSON for the window:
 * name, version, licence and its text ('' where a package carries none), by name.
 */
export async function licencesJson(): Promise<string> {
  const lock = JSON.parse(await readFile(join(projectFolder, 'package-lock.json'), 'utf8')) as Lock
  const paths = Object.entries(lock.packages)
    .filter(([path, { dev }]) => path !== '' && (!dev || path === SHIPPED))
    .map(([path]) => path)
  const found = await Promise.all(paths.map(licenceOf))
  const known = found.filter((each) => each !== null)
  const byName = new Map(known.map((each) => [`${each.name} ${each.version}`, each]))
  return JSON.stringify([...byName.values()].sort((a, b) => (a.name < b.name ? -1 : 1)))
}

/** Null for a package of another system, which is not installed. */
async function licenceOf(path: string) {
  const folder = join(projectFolder, path)
  const files = await readdir(folder).catch(() => null)
  if (!files) return null
  const { name, version, license } = JSON.parse(
    await readFile(join(folder, 'package.json'), 'utf8'),
  ) as { name: string; version: string; license?: string }
  const file = files.find((each) => /^(licen[cs]e|copying)/i.test(each))
  const text = file ? await readFile(join(folder, file), 'utf8').catch(() => '') : ''
  return { name, version, licence: license ?? '', text: text.trim() }
}
