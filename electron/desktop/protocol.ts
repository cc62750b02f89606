import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import { extname, resolve, sep } from 'node:path'
import { Readable } from 'node:stream'
import type { Store } from '../../core/host'
import { headersWithTiles, PAGE_HEADERS } from '../node/pageHeaders'
import { DOCUMENT_FOLDER, TERRAIN_FOLDER } from './channels'
import type { Documents } from './documents'
import type { TerrainShelf } from './terrainShelf'

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json',
  '.svg': 'image/svg+xml',
  '.woff2': 'font/woff2',
  '.woff': 'font/woff',
  '.wasm': 'application/wasm',
}

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
  const root = resolve(folder)
  return async (request) => {
    if (request.method !== 'GET' && request.method !== 'HEAD') return refusal(405)
    const { hostname, pathname } = new URL(request.url)
    let name: string
    try {
      name = decodeURIComponent(pathname.slice(1))
    } catch {
      return refusal(400)
    }
    if (hostname !== 'app') return refusal(404)
    if (name.startsWith(TERRAIN_FOLDER)) {
      const path = shelf.pathOf(name.slice(TERRAIN_FOLDER.length))
      return path ? fileAnswer(path, request) : refusal(404)
    }
    if (name.startsWith(DOCUMENT_FOLDER)) {
      const html = documents.textOf(name.slice(DOCUMENT_FOLDER.length))
      if (html === undefined) return refusal(404)
      const type = { 'Content-Type': 'text/html; charset=utf-8' }
      return new Response(html, { headers: { ...PAGE_HEADERS, ...type } })
    }
    const path = resolve(root, name === '' ? 'index.html' : name)
    if (!path.startsWith(root + sep)) return refusal(403)
    return fileAnswer(path, request, await headersWithTiles(store))
  }
}

async function fileAnswer(
  path: string,
  request: Request,
  pageHeaders = PAGE_HEADERS,
): Promise<Response> {
  const size = await stat(path).then(
    (entry) => (entry.isFile() ? entry.size : -1),
    () => -1,
  )
  if (size < 0) return refusal(404)
  const headers: Record<string, string> = {
    ...pageHeaders,
    'Content-Type': TYPES[extname(path)] ?? 'application/octet-stream',
    'Accept-Ranges': 'bytes',
  }
  const range = parseRange(request.headers.get('range'), size)
  if (range === 'unsatisfiable') {
    return new Response(null, { status: 416, headers: { 'Content-Range': `bytes */${size}` } })
  }
  const { start, end } = range ?? { start: 0, end: size - 1 }
  if (range) headers['Content-Range'] = `bytes ${start}-${end}/${size}`
  headers['Content-Length'] = String(end - start + 1)
  const body =
    request.method === 'HEAD' || end < start
      ? null
      : (Readable.toWeb(createReadStream(path, { start, end })) as ReadableStream)
  return new Response(body, { status: range ? 206 : 200, headers })
}

/** One byte range (RFC 9110, 14.2); null where none is asked for or it is not understood. */
export function parseRange(
  header: string | null,
  size: number,
): { start: number; end: number } | 'unsatisfiable' | null {
  const match = /^bytes=(\d*)-(\d*)$/.exec(header ?? '')
  if (!match || (match[1] === '' && match[2] === '')) return null
  if (match[1] === '') {
    const length = Math.min(size, Number(match[2]))
    return length === 0 ? 'unsatisfiable' : { start: size - length, end: size - 1 }
  }
  const start = Number(match[1])
  const end = match[2] === '' ? size - 1 : Math.min(size - 1, Number(match[2]))
  return start >= size || end < start ? 'unsatisfiable' : { start, end }
}

function refusal(status: number): Response {
  return new Response(null, { status, headers: PAGE_HEADERS })
}
