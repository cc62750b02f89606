import { readdir, rm, stat, utimes, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { build } from 'vite'
import { epsgTable } from './node/epsg'
import { licencesJson } from './node/licences'
import { projectFolder, windowFolder } from './node/paths'

/** What the window and the desktop host are built from. */
const SOURCES = [
  ...['core', 'renderer', 'electron', 'assets'],
  ...['vite.config.ts', 'tsconfig.json', 'package.json', 'package-lock.json'],
]

/** Written last, so that a build that was broken off is begun anew; its time is when it began. */
const STAMP = join(projectFolder, 'dist', 'built')

/** Builds the window and the desktop host into dist/. */
export async function buildAll(): Promise<void> {
  const began = new Date()
  await rm(STAMP, { force: true })
  const config = { logLevel: 'warn' } as const
  await build({ ...config, configFile: join(projectFolder, 'vite.config.ts') })
  await writeFile(join(windowFolder, 'epsg.json'), await epsgTable())
  await writeFile(join(windowFolder, 'licences.json'), await licencesJson())
  for (const [name, format] of [
    ['main', 'es'],
    ['preload', 'cjs'],
  ] as const) {
    await build({
      ...config,
      configFile: false,
      root: projectFolder,
      // The package carries no modules beside what is built.
      ssr: { noExternal: true },
      build: {
        outDir: 'dist/desktop',
        emptyOutDir: false,
        ssr: `electron/desktop/${name}.ts`,
        target: 'node22',
        rollupOptions: {
          external: ['electron'],
          output: { format, entryFileNames: name === 'main' ? 'main.js' : 'preload.cjs' },
        },
      },
    })
  }
  await writeFile(STAMP, '')
  await utimes(STAMP, began, began)
}

/** Builds only where a source is newer than what was built. */
export async function buildIfStale(): Promise<void> {
  const built = await stat(STAMP).catch(() => null)
  const newest = Math.max(...(await Promise.all(SOURCES.map((name) => newestChange(name)))))
  if (!built || newest > built.mtimeMs) await buildAll()
}

async function newestChange(path: string): Promise<number> {
  const full = join(projectFolder, path)
  const entry = await stat(full)
  if (!entry.isDirectory()) return entry.mtimeMs
  const inside = await readdir(full)
  const changes = await Promise.all(inside.map((name) => newestChange(join(path, name))))
  return Math.max(entry.mtimeMs, ...changes)
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) await buildAll()
