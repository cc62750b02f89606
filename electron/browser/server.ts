import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { pipeline } from 'node:stream/promises'
import { isStoreName, type Store } from '../../core/host'
import { fileAnswer, pathInside } from '../node/fileAnswer'
import { MAX_TEXT_BYTES } from '../node/folderStore'
import { headersWithTiles, PAGE_HEADERS } from '../node/pageHeaders'
import { STORE_HEADER, STORE_PATH } from '../../core/storeAddress'

/** The only interface the server listens on. */
const LOOPBACK = '127.0.0.1'

export interface WindowServer {
  /** Address of the window, such as http://127.0.0.1:40123/. */
  readonly url: string
  close(): Promise<void>
}

/**
 * Serves the built window on loopback, and its store.
 * @param folder what is served
 * @param port 0 for any free one
 */
export async function serveWindow(
  folder: string,
  port: number,
  store: Store,
): Promise<WindowServer> {
  const server = createServer((request, response) => {
    const refuse = (status: number) => {
      response.writeHead(status).end()
    }
    // A page of another site may have had its name pointed at this address.
    if (!isLoopbackName(request.headers.host, portOf(server))) refuse(403)
    else if (request.url?.startsWith(STORE_PATH)) void answerStore(store, request, response)
    else if (request.method !== 'GET' && request.method !== 'HEAD') refuse(405)
    else void answerPage(folder, store, request, response)
  })
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject)
    server.listen(port, LOOPBACK, resolve)
  })
  return {
    url: `http://${LOOPBACK}:${portOf(server)}/`,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        server.closeAllConnections()
      }),
  }
}

/** Answers with a file of the window. */
async function answerPage(
  folder: string,
  store: Store,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> {
  // What images a page may load is asked anew whenever it is.
  const pageHeaders = await headersWithTiles(store)
  const path = pathInside(folder, (request.url ?? '/').split('?')[0])
  if (typeof path === 'number') {
    response.writeHead(path, pageHeaders).end()
    return
  }
  const asked = { method: request.method ?? 'GET', range: request.headers.range ?? null }
  const { status, headers, body } = await fileAnswer(path, asked, pageHeaders)
  response.writeHead(status, headers)
  if (!body) response.end()
  // A file may go while it is read, and a reader may have enough: the answer then breaks off.
  else await pipeline(body, response).catch(() => response.destroy())
}

/**
 * Answers for the store: a list, or one text by name. A page of another site could send the
 * browser here; it cannot set the header, and its browser says where it comes from.
 */
async function answerStore(
  store: Store,
  request: IncomingMessage,
  response: ServerResponse,
): Promise<void> {
  const answer = (status: number, text = '') => {
    const type = { 'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store' }
    response.writeHead(status, { ...PAGE_HEADERS, ...type }).end(text)
  }
  const site = request.headers['sec-fetch-site']
  if (!request.headers[STORE_HEADER] || (site !== undefined && site !== 'same-origin')) {
    return answer(403)
  }
  const name = (request.url ?? '').slice(STORE_PATH.length)
  try {
    if (name === '' && request.method === 'GET') {
      return answer(200, JSON.stringify(await store.list()))
    }
    if (!isStoreName(name)) return answer(404)
    if (request.method === 'GET') {
      const text = await store.read(name)
      // A browser writes every 404 into the console, and this is none to worry about.
      return text === null ? answer(204) : answer(200, text)
    }
    if (request.method === 'PUT') {
      const text = await bodyOf(request)
      if (text === null) return answer(413)
      await store.write(name, text)
      return answer(204)
    }
    if (request.method !== 'DELETE') return answer(405)
    await store.remove(name)
    return answer(204)
  } catch (error) {
    return answer(500, error instanceof Error ? error.message : String(error))
  }
}

/** Text of a request; null for one that is too long or was broken off. */
async function bodyOf(request: IncomingMessage): Promise<string | null> {
  const parts: Buffer[] = []
  let bytes = 0
  for await (const part of request as AsyncIterable<Buffer>) {
    bytes += part.length
    // A little more is heard out, so that the answer arrives; a body without end is broken off.
    if (bytes > 4 * MAX_TEXT_BYTES) return null
    if (bytes <= MAX_TEXT_BYTES) parts.push(part)
  }
  return request.complete && bytes <= MAX_TEXT_BYTES ? Buffer.concat(parts).toString('utf8') : null
}

function portOf(server: Server): number {
  return (server.address() as AddressInfo).port
}

function isLoopbackName(host: string | undefined, port: number): boolean {
  const names = [LOOPBACK, 'localhost']
  // Browsers leave the usual port out.
  return names.some((name) => host === `${name}:${port}` || (port === 80 && host === name))
}
