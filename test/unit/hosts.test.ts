import { mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { request } from 'node:http'
import { join } from 'node:path'
import { networkInterfaces } from 'node:os'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { FolderStore } from '../../electron/node/folderStore'
import { announceHost, runningHost } from '../../electron/node/runningHost'
import { serveWindow, type WindowServer } from '../../electron/browser/server'
import { temporaryFolder } from '../support/places'

const outside = temporaryFolder()
const folder = join(outside, 'window')
mkdirSync(folder)
writeFileSync(join(folder, 'index.html'), '<title>window</title>')
writeFileSync(join(outside, 'secret.txt'), 'secret')

describe('browser host', () => {
  let server: WindowServer
  beforeAll(async () => {
    server = await serveWindow(folder, 0, new FolderStore(join(outside, 'store')))
  })
  afterAll(() => server.close())

  /** A raw request, since fetch would tidy the path and the Host header. */
  const ask = (path: string, { method = 'GET', host }: { method?: string; host?: string } = {}) =>
    new Promise<{ status: number; body: string; headers: Record<string, unknown> }>(
      (resolve, reject) => {
        const { port } = new URL(server.url)
        request(
          { port, host: '127.0.0.1', path, method, headers: host ? { host } : {} },
          (response) => {
            let body = ''
            response.on('data', (part) => (body += part))
            response.on('end', () =>
              resolve({ status: response.statusCode ?? 0, body, headers: response.headers }),
            )
          },
        )
          .on('error', reject)
          .end()
      },
    )

  test('serves the window, isolated and under a strict policy', async () => {
    const { status, body, headers } = await ask('/')
    expect(status).toBe(200)
    expect(body).toContain('window')
    expect(headers['content-security-policy']).toContain("default-src 'none'")
    expect(headers['content-security-policy']).not.toMatch(/unsafe-eval'(?<!wasm-unsafe-eval')/)
    expect(headers['cross-origin-opener-policy']).toBe('same-origin')
    expect(headers['x-content-type-options']).toBe('nosniff')
  })

  test.each(['/../secret.txt', '/%2e%2e/secret.txt', '/..%2fsecret.txt', '/nothing.js'])(
    'has nothing at %s',
    async (path) => {
      const { status, body } = await ask(path)
      expect(status).toBe(404)
      expect(body).not.toContain('secret')
    },
  )

  test('answers only under its own loopback names, and only reading', async () => {
    const { port } = new URL(server.url)
    expect((await ask('/', { host: `localhost:${port}` })).status).toBe(200)
    expect((await ask('/', { host: 'evil.example' })).status).toBe(403)
    expect((await ask('/', { host: `evil.example:${port}` })).status).toBe(403)
    expect((await ask('/', { method: 'POST' })).status).toBe(405)
  })

  test('listens on no other interface', async () => {
    const others = Object.values(networkInterfaces())
      .flat()
      .filter((address) => address && !address.internal && address.family === 'IPv4')
    for (const address of others) {
      await expect(fetch(server.url.replace('127.0.0.1', address!.address))).rejects.toThrow()
    }
  })

  test('lets images in from the configured tile server alone', async () => {
    const images = async () =>
      /img-src ([^;]*)/.exec(String((await ask('/')).headers['content-security-policy']))?.[1]
    const own = "'self' data: blob:"
    const store = new FolderStore(join(outside, 'store'))
    expect(await images()).toBe(`${own} https://tile.openstreetmap.org`)
    const configure = (tileTemplate: unknown) =>
      store.write('preferences', JSON.stringify({ tileTemplate }))
    await configure('https://{s}.tiles.example.org:8443/{z}/{x}/{y}.png')
    expect(await images()).toBe(`${own} https://*.tiles.example.org:8443`)
    await configure("https://a.example.org/{z}/{x}/{y}; script-src 'unsafe-inline'")
    expect(await images()).toBe(own)
    await configure('http://elsewhere.example.org/{z}/{x}/{y}.png')
    expect(await images()).toBe(own)
    await store.write('preferences', 'no JSON')
    expect(await images()).toBe(`${own} https://tile.openstreetmap.org`)
    await store.remove('preferences')
  })

  test('is found by a second start, and only while it serves that very store', async () => {
    const store = new FolderStore(join(outside, 'store'))
    expect(await runningHost(store)).toBeNull()
    await announceHost(store, server.url)
    expect(await runningHost(store)).toBe(server.url)
    const other = new FolderStore(join(outside, 'other-store'))
    await announceHost(other, server.url)
    expect(await runningHost(other)).toBeNull()
    await announceHost(store, 'http://127.0.0.1:9/')
    expect(await runningHost(store)).toBeNull()
  })

  test('goes on where a file goes while it is served, and answers ranges', async () => {
    writeFileSync(join(folder, 'late.js'), 'late')
    expect((await ask('/late.js?x=1')).body).toBe('late')
    rmSync(join(folder, 'late.js'))
    expect((await ask('/late.js')).status).toBe(404)
    const part = await fetch(new URL('index.html', server.url), { headers: { range: 'bytes=0-0' } })
    expect([part.status, await part.text()]).toEqual([206, '<'])
    expect((await ask('/')).status).toBe(200)
  })

  test('says so when its port is taken', async () => {
    const port = Number(new URL(server.url).port)
    await expect(
      serveWindow(folder, port, new FolderStore(join(outside, 'store'))),
    ).rejects.toThrow('EADDRINUSE')
  })
})
