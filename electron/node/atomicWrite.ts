import { rename, rm, writeFile } from 'node:fs/promises'

/** Writes a file so that its name never stands for a half-written one. */
export async function writeFileAtomically(path: string, content: Uint8Array): Promise<void> {
  const draft = `${path}.${process.pid}.part`
  try {
    await writeFile(draft, content)
    await rename(draft, path)
  } catch (error) {
    await rm(draft, { force: true })
    throw error
  }
}
