import { mkdirSync, writeFileSync } from 'node:fs'
import { request } from 'node:http'
import { join } from 'node:path'
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import type { Host } from '../../core/host'
import { USUAL_TILES } from '../../core/tileAddress'
import { serveWindow } from '../../electron/browser/server'
import { startApplication } from '../../electron/desktop/application'
import { FolderStore } from '../../electron/node/folderStore'
import { serverStore } from '../../renderer/host/serverStore'
import { fakeElectron, OWN } from '../support/fakeElectron'
import { temporaryFolder } from '../support/places'

/** What both hosts promise their window, asked of each through its own way in. */
interface Hosted {
  readonly store: Host['store']
  /** What is answered at a path of the page's origin, sent as it is written. */
  page(path: string): Promise<{ status: number; text: string; header(name: string): string }>
  close(): Promise<void>
}

const outside = temporaryFolder()
const folder = join(outside, 'window')
mkdirSync(folder)
writeFileSync(join(folder, 'index.html'), '<title>window</title>')
writeFileSync(join(outside, 'secret.txt'), 'secret')

const desktop = vi.hoisted(() => ({
  invoke: (() => undefined) as (channel: string, ...given: unknown[]) => unknown,
  host: null as Host | null,
}))
vi.mock('electron', () => ({
  contextBridge: { exposeInMainWorld: (_name: string, host: Host) => (desktop.host = host) },
  ipcRenderer: {
    invoke: async (channel: string, ...given: unknown[]) => desktop.invoke(channel, ...given),
    on: () => undefined,
  },
  webUtils: { getPathForFile: (file: File) => `/dropped/${file.name}` },
}))

async function browserHosted(): Promise<Hosted> {
  const server = await serveWindow(folder, 0, new FolderStore(join(outside, 'browser')))
  const fetchAnywhere = fetch
  // The page's own addresses begin at its server.
  vi.stubGlobal('fetch', (path: string, options: RequestInit) =>
    fetchAnywhere(new URL(path, server.url), options),
  )
  return {
    store: serverStore,
    page: (path) =>
      new Promise((resolve, reject) => {
        const { port } = new URL(server.url)
        // Raw, since fetch would tidy the path.
        request({ port, host: '127.0.0.1', path }, (response) => {
          let text = ''
          response.on('data', (part) => (text += part))
          response.on('end', () =>
            resolve({
              status: response.statusCode ?? 0,
              text,
              header: (name) => String(response.headers[name]),
            }),
          )
        })
          .on('error', reject)
          .end()
      }),
    close: () => server.close(),
  }
}

async function desktopHosted(): Promise<Hosted> {
  const { electron, seen } = fakeElectron([])
  await startApplication(
    electron,
    { window: folder, desktop: '/desktop' },
    new FolderStore(join(outside, 'desktop')),
    { args: [], folder: outside, platform: 'linux' },
  )
  desktop.invoke = (channel, ...given) => seen.handlers.get(channel)!(OWN, ...given)
  await import('../../electron/desktop/preload')
  return {
    store: desktop.host!.store,
    page: async (path) => {
      const answer = await seen.protocol!(new Request(`colsight://app${path}`))
      return {
        status: answer.status,
        text: await answer.text(),
        header: (name) => String(answer.headers.get(name)),
      }
    },
    close: async () => undefined,
  }
}

test('the desktop tells the shelf where dropped files lie', async () => {
  await (await desktopHosted()).close()
  const asked: unknown[] = []
  desktop.invoke = (...given) => asked.push(given)
  await desktop.host!.rememberTerrain!([new File(['abc'], 'a.tif')])
  expect(asked).toEqual([['colsight:remember-terrain', ['/dropped/a.tif']]])
})

describe.each([
  ['browser', browserHosted],
  ['desktop', desktopHosted],
])('what the %s host promises its window', (_name, open) => {
  let hosted: Hosted
  beforeAll(async () => {
    hosted = await open()
  })
  afterAll(async () => {
    await hosted.close()
    vi.unstubAllGlobals()
  })
  afterEach(async () => {
    for (const name of await hosted.store.list()) await hosted.store.remove(name)
  })

  test('the page, isolated and under a strict policy', async () => {
    const { status, text, header } = await hosted.page('/index.html')
    expect([status, text]).toEqual([200, '<title>window</title>'])
    expect(header('content-type')).toMatch(/^text\/html/)
    const policy = header('content-security-policy')
    for (const rule of ["default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'"]) {
      expect(policy).toContain(rule)
    }
    expect(policy).not.toMatch(/script-src[^;]*unsafe-inline/)
    expect(header('cross-origin-opener-policy')).toBe('same-origin')
    expect(header('cross-origin-embedder-policy')).toBe('credentialless')
    expect(header('x-content-type-options')).toBe('nosniff')
  })

  test.each([
    '/../secret.txt',
    '/%2e%2e/secret.txt',
    '/..%2fsecret.txt',
    '/%2e%2e%2fsecret.txt',
    '/..%5csecret.txt',
    '/%',
    '/nothing.js',
  ])('nothing of the disk at %s', async (path) => {
    const { status, text } = await hosted.page(path)
    expect(status).toBeGreaterThanOrEqual(400)
    expect(text).not.toContain('secret')
  })

  test('images from the tile server of the preferences, and from no other', async () => {
    const images = async () =>
      /img-src ([^;]*)/.exec((await hosted.page('/')).header('content-security-policy'))![1]
    expect(await images()).toContain(new URL(USUAL_TILES.template).origin)
    const template = 'https://tiles.example.org/{z}/{x}/{y}.png'
    await hosted.store.write('preferences', JSON.stringify({ tileTemplate: template }))
    expect(await images()).toMatch(/ https:\/\/tiles\.example\.org$/)
    await hosted.store.write('preferences', JSON.stringify({ tileTemplate: 'javascript:alert(1)' }))
    expect(await images()).not.toContain('javascript')
  })

  test('texts are kept whole, listed, written over and removed', async () => {
    const { store } = hosted
    expect(await store.list()).toEqual([])
    expect(await store.read('draft-1')).toBeNull()
    const text = 'Täler ✓\n'.repeat(20_000)
    await store.write('draft-2', 'b')
    await store.write('draft-1', text)
    expect(await store.read('draft-1')).toBe(text)
    expect(await store.list()).toEqual(['draft-1', 'draft-2'])
    await store.write('draft-1', '')
    expect(await store.read('draft-1')).toBe('')
    await store.remove('draft-1')
    await store.remove('draft-1')
    expect(await store.list()).toEqual(['draft-2'])
  })

  test('of many writes at once one is there, whole', async () => {
    const texts = Array.from({ length: 12 }, (_, i) => `${i}`.repeat(30_000))
    await Promise.all(texts.map((text) => hosted.store.write('draft', text)))
    expect(texts).toContain(await hosted.store.read('draft'))
  })

  test.each(['../secret', 'a/b', 'a\\b', '.', '', 'CON:', 'x'.repeat(300), 'a%2fb'])(
    'no text is kept under %s',
    async (name) => {
      await expect(hosted.store.write(name, 'x')).rejects.toThrow()
      expect(await hosted.store.list()).toEqual([])
    },
  )

  test('a text too long is refused, and what was there stays', async () => {
    await hosted.store.write('draft', 'whole')
    await expect(hosted.store.write('draft', 'x'.repeat(17 * 1024 * 1024))).rejects.toThrow()
    expect(await hosted.store.read('draft')).toBe('whole')
  })
})
