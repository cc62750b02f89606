import { Readable } from 'node:stream'
import type { Store } from '../../core/host'
import { fileAnswer, pathInside } from '../node/fileAnswer'
import { headersWithTiles, PAGE_HEADERS } from '../node/pageHeaders'
import { DOCUMENT_FOLDER, TERRAIN_FOLDER } from './channels'
import type { Documents } from './documents'
import type { TerrainShelf } from './terrainShelf'

/**
 * Answers the private protocol: files of the built window, chosen terrain files by token, both by
 * range, and documents that are being laid out. Everything else is refused.
 */
export function answerProtocol(
  folder: string,
  shelf: TerrainShelf,
  documents: Documents,
  store: Store,
): (request: Request) => Promise<Response> {
  return async (request) => {
    if (request.method !== 'GET' && request.method !== 'HEAD') return refusal(405)
    const { hostname, pathname } = new URL(request.url)
    if (hostname !== 'app') return refusal(404)
    const name = pathname.slice(1)
    if (name.startsWith(TERRAIN_FOLDER)) {
      const path = shelf.pathOf(name.slice(TERRAIN_FOLDER.length))
      return path ? answerFile(path, request, PAGE_HEADERS) : refusal(404)
    }
    if (name.startsWith(DOCUMENT_FOLDER)) {
      const html = documents.textOf(name.slice(DOCUMENT_FOLDER.length))
      if (html === undefined) return refusal(404)
      const type = { 'Content-Type': 'text/html; charset=utf-8' }
      return new Response(html, { headers: { ...PAGE_HEADERS, ...type } })
    }
    const path = pathInside(folder, pathname)
    if (typeof path === 'number') return refusal(path)
    return answerFile(path, request, await headersWithTiles(store))
  }
}

async function answerFile(
  path: string,
  { method, headers: asked }: Request,
  pageHeaders: Readonly<Record<string, string>>,
): Promise<Response> {
  const range = asked.get('range')
  const { status, headers, body } = await fileAnswer(path, { method, range }, pageHeaders)
  return new Response(body && (Readable.toWeb(body) as ReadableStream), { status, headers })
}

function refusal(status: number): Response {
  return new Response(null, { status, headers: PAGE_HEADERS })
}
