import { basename } from 'node:path'
import { readLink, type Link } from '../../core/radio/link'
import { readText } from './textFile'

/** Reads a link from disk. Throws a PilotError with a sentence. */
export async function readLinkFile(path: string): Promise<Link> {
  return readLink(await readText(path, 'a link as JSON'), basename(path))
}
