import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import sirv from 'sirv'
import { PAGE_HEADERS } from '../node/pageHeaders'

/** The only interface the server listens on. */
const LOOPBACK = '127.0.0.1'

export interface WindowServer {
  /** Address of the window, such as http://127.0.0.1:40123/. */
  readonly url: string
  close(): Promise<void>
}

/**
 * Serves the built window on loopback.
 * @param folder what is served
 * @param port 0 for any free one
 */
export async function serveWindow(folder: string, port: number): Promise<WindowServer> {
  const files = sirv(folder, {
    etag: true,
    setHeaders: (response, path) => {
      for (const [name, value] of Object.entries(PAGE_HEADERS)) response.setHeader(name, value)
      // Ranges of a file that the browser holds in part would be answered "not modified".
      if (path.endsWith('.tif')) response.setHeader('Cache-Control', 'no-store')
    },
  })
  const server = createServer((request, response) => {
    const refuse = (status: number) => {
      response.writeHead(status).end()
    }
    // A page of another site may have had its name pointed at this address.
    if (!isLoopbackName(request.headers.host, portOf(server))) refuse(403)
    else if (request.method !== 'GET' && request.method !== 'HEAD') refuse(405)
    else files(request, response, () => refuse(404))
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

function portOf(server: Server): number {
  return (server.address() as AddressInfo).port
}

function isLoopbackName(host: string | undefined, port: number): boolean {
  return host === `${LOOPBACK}:${port}` || host === `localhost:${port}`
}
