import { readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Store } from '../../core/host'
import { STORE_HEADER } from '../../core/storeAddress'
import { serveWindow, type WindowServer } from '../../electron/browser/server'
import { dataFolder, FolderStore } from '../../electron/node/folderStore'
import { killWriters } from '../crash/kill'
import { temporaryFolder } from '../support/places'

const folder = temporaryFolder()
const served = temporaryFolder()
writeFileSync(join(served, 'index.html'), '<title>window</title>')
let server: WindowServer

beforeAll(async () => {
  server = await serveWindow(served, 0, new FolderStore(join(folder, 'served')))
})
afterAll(() => server.close())

const ask = (path: string, method = 'GET', body?: string, headers: Record<string, string> = {}) =>
  fetch(new URL(`/store/${path}`, server.url), {
    method,
    body,
    headers: { [STORE_HEADER]: '1', ...headers },
  })

/** The store as the window reaches it from the browser host. */
const overHttp: Store = {
  list: async () => (await (await ask('')).json()) as string[],
  read: async (name) => {
    const answer = await ask(name)
    if (answer.status === 204) return null
    if (!answer.ok) throw new Error(String(answer.status))
    return answer.text()
  },
  write: async (name, text) => {
    if (!(await ask(name, 'PUT', text)).ok) throw new Error('refused')
  },
  remove: async (name) => {
    if (!(await ask(name, 'DELETE')).ok) throw new Error('refused')
  },
}

describe.each([
  ['a folder', () => new FolderStore(join(folder, 'plain'))],
  ['the browser host', () => overHttp],
] as const)('the store: %s', (_kind, open) => {
  test('keeps texts by name, whole, and forgets them', async () => {
    const store = open()
    expect(await store.list()).toEqual([])
    expect(await store.read('draft-1')).toBeNull()
    await store.write('draft-1', 'Übung ☂ \n')
    await store.write('draft-1', 'second')
    await store.write('preferences', '{}')
    expect(await store.list()).toEqual(['draft-1', 'preferences'])
    expect(await store.read('draft-1')).toBe('second')
    await store.remove('draft-1')
    await store.remove('draft-1')
    expect(await store.list()).toEqual(['preferences'])
  })

  test.each(['../secret', 'A', 'a/b', '.hidden', 'a.txt', 'x'.repeat(65)])(
    'refuses the name %s',
    async (name) => {
      await expect(open().read(name)).rejects.toThrow()
      await expect(open().write(name, 'x')).rejects.toThrow()
    },
  )
})

test('leaves no drafts of writing behind', () => {
  expect(readdirSync(join(folder, 'plain'))).toEqual(['preferences.txt'])
})

test('answers no page of another site', async () => {
  expect((await ask('', 'GET', undefined, { 'sec-fetch-site': 'cross-site' })).status).toBe(403)
  expect((await ask('', 'GET', undefined, { 'sec-fetch-site': 'same-site' })).status).toBe(403)
  const plain = await fetch(new URL('/store/preferences', server.url))
  expect(plain.status).toBe(403)
  const asked = await fetch(new URL('/store/preferences', server.url), { method: 'OPTIONS' })
  expect(asked.status).toBe(403)
  expect(asked.headers.get('access-control-allow-origin')).toBeNull()
  expect((await ask('preferences', 'POST', '{}')).status).toBe(405)
  expect((await ask('draft-2', 'PUT', 'x'.repeat(17 * 1024 * 1024))).status).toBe(413)
})

test('lies where the system keeps such things', () => {
  expect(dataFolder({ COLSIGHT_DATA: '/d' }, 'linux')).toBe('/d')
  expect(dataFolder({ XDG_DATA_HOME: '/x' }, 'linux')).toBe('/x/colsight')
  expect(dataFolder({ APPDATA: '/roaming' }, 'win32')).toBe(join('/roaming', 'Colsight'))
  expect(dataFolder({}, 'darwin')).toMatch(/Library\/Application Support\/Colsight$/)
})

test('processes killed while they save leave the newest text or the one before, whole', async () => {
  const results = await killWriters(25, 4)
  for (const { said, found } of results) {
    expect(found).not.toBeNull()
    expect(found!).toBeGreaterThanOrEqual(said)
  }
}, 120_000)
