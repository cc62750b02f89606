import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import { extname, resolve, sep } from 'node:path'
import { Readable } from 'node:stream'

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

/** What is answered: its body may be long, and is read as it is taken. */
export interface FileAnswer {
  readonly status: number
  readonly headers: Readonly<Record<string, string>>
  readonly body: Readable | null
}

/** Path of a page's file in its folder; a status of HTTP where there can be none. */
export function pathInside(folder: string, pathname: string): string | number {
  const root = resolve(folder)
  let name: string
  try {
    name = decodeURIComponent(pathname.slice(1))
  } catch {
    return 400
  }
  if (name.includes('\0')) return 400
  const path = resolve(root, name === '' ? 'index.html' : name)
  return path.startsWith(root + sep) ? path : 404
}

/** A file, or the one range of it that is asked for. */
export async function fileAnswer(
  path: string,
  { method, range: asked }: { readonly method: string; readonly range: string | null },
  pageHeaders: Readonly<Record<string, string>>,
): Promise<FileAnswer> {
  const size = await stat(path).then(
    (entry) => (entry.isFile() ? entry.size : -1),
    () => -1,
  )
  if (size < 0) return { status: 404, headers: pageHeaders, body: null }
  const range = parseRange(asked, size)
  if (range === 'unsatisfiable') {
    const headers = { ...pageHeaders, 'Content-Range': `bytes */${size}` }
    return { status: 416, headers, body: null }
  }
  const { start, end } = range ?? { start: 0, end: size - 1 }
  const headers = {
    ...pageHeaders,
    'Content-Type': TYPES[extname(path)] ?? 'application/octet-stream',
    'Accept-Ranges': 'bytes',
    'Content-Length': String(end - start + 1),
    ...(range ? { 'Content-Range': `bytes ${start}-${end}/${size}` } : {}),
  }
  const isEmpty = method === 'HEAD' || end < start
  const body = isEmpty ? null : createReadStream(path, { start, end })
  return { status: range ? 206 : 200, headers, body }
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
