import { open, rename, rm } from 'node:fs/promises'
import { dirname } from 'node:path'

/** Drafts of this process so far: two of the same file must not share one. */
let drafts = 0

/**
 * Writes a file so that its name never stands for a half-written one: all of it is on the disk
 * before it takes the place of what was there.
 */
export async function writeFileAtomically(path: string, content: Uint8Array): Promise<void> {
  const draft = `${path}.${process.pid}-${++drafts}.part`
  try {
    const file = await open(draft, 'w')
    try {
      await file.writeFile(content)
      await file.sync()
    } finally {
      await file.close()
    }
    await rename(draft, path)
  } catch (error) {
    await rm(draft, { force: true })
    throw error
  }
  await syncFolder(dirname(path))
}

/** So that the new name outlives a power cut; not every system can. */
async function syncFolder(path: string): Promise<void> {
  const folder = await open(path, 'r').catch(() => null)
  await folder?.sync().catch(() => undefined)
  await folder?.close()
}
