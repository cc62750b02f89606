import { readFile } from 'node:fs/promises'
import { PilotError } from '../../core/errors'

/** Reads a text file; the sentence says what it should have been. */
export async function readText(path: string, what: string): Promise<string> {
  try {
    return await readFile(path, 'utf8')
  } catch (cause) {
    throw new PilotError(`There is no file "${path}" that can be read; give the path of ${what}.`, {
      cause,
    })
  }
}
