import { mkdir, readdir, readFile, rm } from 'node:fs/promises'
import { homedir } from 'node:os'
import { join } from 'node:path'
import { isStoreName, type Store } from '../../core/host'
import { writeFileAtomically } from './atomicWrite'

/** Texts longer than this are none of the window's own. */
export const MAX_TEXT_BYTES = 16 * 1024 * 1024
const ENDING = '.txt'

/** Where this machine keeps what programs remember, each system in its own way. */
export function dataFolder(env: NodeJS.ProcessEnv = process.env, platform = process.platform) {
  if (env.COLSIGHT_DATA) return env.COLSIGHT_DATA
  if (platform === 'win32' && env.APPDATA) return join(env.APPDATA, 'Colsight')
  if (platform === 'darwin') return join(homedir(), 'Library', 'Application Support', 'Colsight')
  return join(env.XDG_DATA_HOME || join(homedir(), '.local', 'share'), 'colsight')
}

/** Keeps the window's texts as files of a folder; each is written whole or not at all. */
export class FolderStore implements Store {
  constructor(private readonly folder: string) {}

  async list(): Promise<string[]> {
    const names = await readdir(this.folder).catch(() => [])
    return names
      .filter((name) => name.endsWith(ENDING))
      .map((name) => name.slice(0, -ENDING.length))
      .filter(isStoreName)
      .sort()
  }

  async read(name: string): Promise<string | null> {
    return readFile(this.pathOf(name), 'utf8').catch((error: NodeJS.ErrnoException) => {
      if (error.code === 'ENOENT') return null
      throw error
    })
  }

  async write(name: string, text: string): Promise<void> {
    const bytes = Buffer.from(text)
    if (bytes.length > MAX_TEXT_BYTES) throw new RangeError('a text too long to be kept')
    await mkdir(this.folder, { recursive: true })
    await writeFileAtomically(this.pathOf(name), bytes)
  }

  async remove(name: string): Promise<void> {
    await rm(this.pathOf(name), { force: true })
  }

  private pathOf(name: string): string {
    if (!isStoreName(name)) throw new RangeError('no name of a kept text')
    return join(this.folder, name + ENDING)
  }
}
