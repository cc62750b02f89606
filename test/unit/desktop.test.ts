import type { MenuItemConstructorOptions } from 'electron'
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { describe, expect, test, vi } from 'vitest'
import { parseRange } from '../../electron/node/fileAnswer'
import { FolderStore } from '../../electron/node/folderStore'
import { startApplication } from '../../electron/desktop/application'
import { CHANNELS } from '../../electron/desktop/channels'
import { Documents } from '../../electron/desktop/documents'
import { answerProtocol } from '../../electron/desktop/protocol'
import { TerrainShelf } from '../../electron/desktop/terrainShelf'
import { fakeElectron, OWN, type Seen } from '../support/fakeElectron'
import { temporaryFolder } from '../support/places'
import { COMMANDS } from '../../core/host'
import { fingerprintOf, type FileIdentity } from '../../core/terrain/fingerprint'

const outside = temporaryFolder()
const folder = join(outside, 'window')
mkdirSync(folder)
writeFileSync(join(folder, 'index.html'), '<title>window</title>')
writeFileSync(join(outside, 'secret.txt'), 'secret')
const terrainPath = join(outside, 'dem.tif')
writeFileSync(terrainPath, '0123456789')
writeFileSync(join(outside, 'dem.tfw'), '10\n0\n0\n-10\n5\n5\n')

async function identityOf(name: string, text: string): Promise<FileIdentity> {
  const bytes = new TextEncoder().encode(text)
  const read = async (from: number, length: number) => bytes.slice(from, from + length)
  const sizeBytes = bytes.length
  return { name, sizeBytes, fingerprint: await fingerprintOf({ sizeBytes, read }) }
}

describe('private protocol of the desktop host', () => {
  const shelf = new TerrainShelf(new FolderStore(join(outside, 'shelf-store')))
  const documents = new Documents()
  const store = new FolderStore(join(outside, 'protocol-store'))
  const answer = answerProtocol(folder, shelf, documents, store)
  const get = (url: string, headers: Record<string, string> = {}) =>
    answer(new Request(url, { headers }))

  test('serves the window', async () => {
    const response = await get('colsight://app/index.html')
    expect(await response.text()).toContain('window')
    expect(response.headers.get('content-type')).toMatch(/^text\/html/)
    expect(response.headers.get('content-security-policy')).toContain("default-src 'none'")
  })

  test.each([
    'colsight://app/../secret.txt',
    'colsight://app/%2e%2e/secret.txt',
    'colsight://app/..%2fsecret.txt',
    'colsight://app/%2e%2e%2fsecret.txt',
    'colsight://app/..%5csecret.txt',
    'colsight://app/%',
    'colsight://other/index.html',
    'colsight://app/terrain/index.html',
    'colsight://app/terrain/',
    'colsight://terrain/index.html',
    `colsight://app/terrain/${encodeURIComponent(terrainPath)}`,
  ])('refuses %s', async (url) => {
    const response = await get(url)
    expect(response.status).toBeGreaterThanOrEqual(400)
    expect(await response.text()).toBe('')
  })

  test('serves chosen terrain by range, by token and never by path', async () => {
    const [source] = await shelf.putAll([terrainPath])
    if (!('url' in source)) throw new Error('the shelf gives addresses')
    expect(source.name).toBe('dem.tif')
    expect(source.url).not.toContain('tmp')
    const part = await get(source.url, { range: 'bytes=2-5' })
    expect(part.status).toBe(206)
    expect(part.headers.get('content-range')).toBe('bytes 2-5/10')
    expect(await part.text()).toBe('2345')
    expect(await (await get(source.url)).text()).toBe('0123456789')
    expect((await get(source.url, { range: 'bytes=20-30' })).status).toBe(416)
    expect((await answer(new Request(source.url, { method: 'DELETE' }))).status).toBe(405)
  })

  test.each([
    ['bytes=0-0', { start: 0, end: 0 }],
    ['bytes=5-', { start: 5, end: 9 }],
    ['bytes=-3', { start: 7, end: 9 }],
    ['bytes=8-99', { start: 8, end: 9 }],
    ['bytes=10-', 'unsatisfiable'],
    ['bytes=-0', 'unsatisfiable'],
    ['bytes=3-2', 'unsatisfiable'],
    ['bytes=0-1,4-5', null],
    ['lines=0-1', null],
    [null, null],
  ])('range %s of ten bytes', (header, expected) => {
    expect(parseRange(header, 10)).toEqual(expected)
  })
})

describe('desktop host', () => {
  const start = async (
    chosen: string[] = [],
    {
      args = [],
      platform = 'linux' as NodeJS.Platform,
      prepare = () => undefined,
    }: {
      args?: string[]
      platform?: NodeJS.Platform
      prepare?: (seen: Seen, store: FolderStore) => unknown
    } = {},
  ) => {
    const { electron, seen } = fakeElectron(chosen)
    const store = new FolderStore(join(outside, 'desktop-store'))
    await prepare(seen, store)
    await startApplication(electron, { window: folder, desktop: '/desktop' }, store, {
      args,
      folder: outside,
      platform,
    })
    return seen
  }

  test('opens one sandboxed, isolated window on the private protocol', async () => {
    const seen = await start()
    expect(seen.schemes).toEqual(['colsight'])
    expect(seen.schemesBeforeReady).toBe(true)
    expect(seen.loaded).toBe('colsight://app/index.html')
    expect(seen.options!.webPreferences).toMatchObject({
      sandbox: true,
      contextIsolation: true,
      nodeIntegration: false,
      webviewTag: false,
      preload: join('/desktop', 'preload.cjs'),
    })
  })

  test('every window, also the one that nobody sees, stays on its own pages', async () => {
    const seen = await start([join(outside, 'guarded.pdf')])
    await seen.handlers.get(CHANNELS.savePdf)!(OWN, 'guarded.pdf', '<p>brief</p>')
    expect(seen.windows).toHaveLength(2)
    for (const { events, windowOpen, options } of seen.windows) {
      expect(options.webPreferences).toMatchObject({
        sandbox: true,
        contextIsolation: true,
        nodeIntegration: false,
        webviewTag: false,
      })
      for (const name of ['will-navigate', 'will-redirect']) {
        const leave = { url: 'https://example.org/', preventDefault: vi.fn() }
        events.get(name)!(leave)
        expect(leave.preventDefault, name).toHaveBeenCalled()
        const stay = { url: 'colsight://app/index.html', preventDefault: vi.fn() }
        events.get(name)!(stay)
        expect(stay.preventDefault, name).not.toHaveBeenCalled()
      }
      const attach = { preventDefault: vi.fn() }
      events.get('will-attach-webview')!(attach)
      expect(attach.preventDefault).toHaveBeenCalled()
      for (const url of ['https://example.org/', 'file:///etc/passwd', 'colsight://app/']) {
        expect(windowOpen({ url })).toEqual({ action: 'deny' })
      }
    }
  })

  test('permits its own page to copy, and nobody anything else', async () => {
    const seen = await start()
    const isGranted = (name: string, requestingUrl: string) => {
      const answer = vi.fn()
      seen.permission!(null, name, answer, { requestingUrl })
      const [[granted]] = answer.mock.calls
      expect(seen.permissionCheck!(null, name, requestingUrl)).toBe(granted)
      return granted
    }
    const copying = 'clipboard-sanitized-write'
    expect(isGranted(copying, 'colsight://app/index.html')).toBe(true)
    expect(isGranted(copying, 'colsight://app')).toBe(true)
    expect(isGranted(copying, 'https://example.org/')).toBe(false)
    expect(isGranted(copying, 'colsight://apple/')).toBe(false)
    for (const name of ['geolocation', 'clipboard-read', 'media', 'openExternal', 'fileSystem']) {
      expect(isGranted(name, 'colsight://app/index.html'), name).toBe(false)
    }
  })

  test('answers no foreign page on any channel', async () => {
    const seen = await start([terrainPath])
    const foreign = { senderFrame: { parent: null, url: 'https://example.org/' } }
    const framed = { senderFrame: { ...OWN.senderFrame, parent: OWN.senderFrame } }
    const given: Record<string, unknown[]> = {
      [CHANNELS.rememberTerrain]: [[terrainPath]],
      [CHANNELS.findTerrain]: [[]],
      [CHANNELS.openText]: ['GeoJSON', ['json']],
      [CHANNELS.saveFile]: ['a.tif', new Uint8Array(1)],
      [CHANNELS.savePdf]: ['a.pdf', 'b'],
      [CHANNELS.storeRead]: ['preferences'],
      [CHANNELS.storeWrite]: ['preferences', '{}'],
      [CHANNELS.storeRemove]: ['preferences'],
    }
    for (const [channel, handler] of seen.handlers) {
      for (const event of [foreign, framed, { senderFrame: null }]) {
        const ask = async () => handler(event, ...(given[channel] ?? []))
        const answer = await ask().catch((error: Error) => error.message)
        expect([null, undefined, 'refused: not of the window', '[]'], channel).toContain(
          Array.isArray(answer) ? JSON.stringify(answer) : answer,
        )
      }
    }
    expect([seen.parents, seen.sent]).toEqual([[], []])
  })

  test('dialogs are modal to the window', async () => {
    const seen = await start([join(outside, 'modal.tif')])
    await seen.handlers.get(CHANNELS.openTerrain)!(OWN)
    await seen.handlers.get(CHANNELS.openText)!(OWN, 'GeoJSON', ['json'])
    await seen.handlers.get(CHANNELS.saveFile)!(OWN, 'modal.tif', new Uint8Array(1))
    expect(seen.parents).toEqual([seen.windows[0], seen.windows[0], seen.windows[0]])
  })

  test('what cannot be read or written is said in the window, without its path', async () => {
    const seen = await start([join(outside, 'no-folder', 'a.geojson')])
    seen.handlers.get(CHANNELS.listening)!(OWN)
    const said = () => seen.sent.map(([, request]) => (request as { sentence: string }).sentence)
    expect(await seen.handlers.get(CHANNELS.openText)!(OWN, 'plan', ['geojson'])).toBeNull()
    expect(
      await seen.handlers.get(CHANNELS.saveFile)!(OWN, 'a.geojson', new Uint8Array(1)),
    ).toBeNull()
    expect(said()).toEqual([
      expect.stringMatching(/^"a.geojson" cannot be read \(ENOENT\)/),
      expect.stringMatching(/^"a.geojson" cannot be written \(ENOENT\)/),
    ])
    seen.appEvents.get('open-file')!(
      { preventDefault: vi.fn() } as never,
      join(outside, 'gone.gpx') as never,
    )
    await vi.waitFor(() => expect(said()[2]).toMatch(/^"gone.gpx" cannot be read/))
    expect(seen.sent.some(([, request]) => JSON.stringify(request).includes(outside))).toBe(false)
  })

  test('a page that is gone is opened again, and requests wait for it', async () => {
    const seen = await start([], { prepare: (its) => (its.messageAnswer = 0) })
    const listen = () => seen.handlers.get(CHANNELS.listening)!(OWN)
    listen()
    const gone = seen.windows[0].events.get('render-process-gone')!
    gone({ preventDefault: vi.fn() }, { reason: 'clean-exit' })
    expect(seen.loads).toBe(1)
    gone({ preventDefault: vi.fn() }, { reason: 'oom' })
    expect(seen.loads).toBe(2)
    const file = join(outside, 'while-gone.csv')
    writeFileSync(file, 'lat,lon')
    seen.appEvents.get('open-file')!({ preventDefault: vi.fn() } as never, file as never)
    await vi.waitFor(() => expect(seen.recent).toContain(file))
    expect(seen.sent).toEqual([])
    listen()
    expect(seen.sent).toHaveLength(1)
    seen.messageAnswer = 1
    gone({ preventDefault: vi.fn() }, { reason: 'crashed' })
    expect([seen.loads, seen.quits]).toEqual([2, 1])
  })

  test('ends only when everything is written', async () => {
    const seen = await start()
    const quitting = () => {
      const event = { preventDefault: vi.fn() }
      seen.appEvents.get('will-quit')!(event as never)
      return event.preventDefault.mock.calls.length > 0
    }
    expect(quitting()).toBe(false)
    const write = seen.handlers.get(CHANNELS.storeWrite)!(OWN, 'draft-last', 'the last change')
    expect(quitting()).toBe(true)
    await write
    await vi.waitFor(() => expect(seen.quits).toBe(1))
    expect(quitting()).toBe(false)
  })

  test('opens terrain for its own page alone, and gives no path away', async () => {
    const seen = await start([terrainPath])
    const open = seen.handlers.get(CHANNELS.openTerrain)!
    const own = OWN
    const [source] = (await open(own)) as { name: string; url: string; beside: object }[]
    expect(source.name).toBe('dem.tif')
    expect(source.url).toMatch(/^colsight:\/\/app\/terrain\/[0-9a-f-]{36}$/)
    expect(source.beside).toEqual({ worldFile: '10\n0\n0\n-10\n5\n5\n', projection: undefined })
    expect(await open({ senderFrame: { parent: null, url: 'https://example.org/' } })).toEqual([])
    expect(await open({ senderFrame: null })).toEqual([])
    expect(await (await start()).handlers.get(CHANNELS.openTerrain)!(own)).toEqual([])
  })

  test('finds terrain again by name, size and fingerprint, also after a new start', async () => {
    const own = OWN
    await (await start([terrainPath])).handlers.get(CHANNELS.openTerrain)!(own)
    const find = (await start()).handlers.get(CHANNELS.findTerrain)!
    const identity = await identityOf('dem.tif', '0123456789')
    const [source] = (await find(own, [identity])) as { name: string; url: string }[]
    expect(source.name).toBe('dem.tif')
    expect(source.url).toMatch(/^colsight:\/\/app\/terrain\/[0-9a-f-]{36}$/)
    expect(await find(own, [{ ...identity, sizeBytes: 11 }])).toBeNull()
    expect(await find(own, [{ ...identity, fingerprint: 'x' }])).toBeNull()
    expect(await find(own, [{ ...identity, name: 'secret.txt' }])).toBeNull()
    expect(await find(own, 'dem.tif')).toBeNull()
    expect(
      await find({ senderFrame: { parent: null, url: 'https://example.org/' } }, [identity]),
    ).toBeNull()
  })

  test('finds terrain that was dropped, where it was a file of the disk', async () => {
    const dropped = join(outside, 'dropped.tif')
    writeFileSync(dropped, 'abc')
    const { handlers } = await start()
    await handlers.get(CHANNELS.rememberTerrain)!(OWN, ['', dropped])
    const identity = await identityOf('dropped.tif', 'abc')
    const find = (await start()).handlers.get(CHANNELS.findTerrain)!
    expect(await find(OWN, [identity])).toMatchObject([{ name: 'dropped.tif' }])
  })

  test('keeps texts for its own page alone', async () => {
    const own = OWN
    const { handlers } = await start()
    const call = (channel: string, ...given: unknown[]) => handlers.get(channel)!(own, ...given)
    await call(CHANNELS.storeWrite, 'draft-a', 'text')
    expect(await call(CHANNELS.storeRead, 'draft-a')).toBe('text')
    expect(await call(CHANNELS.storeList)).toContain('draft-a')
    await call(CHANNELS.storeRemove, 'draft-a')
    expect(await call(CHANNELS.storeRead, 'draft-a')).toBeNull()
    await expect(call(CHANNELS.storeWrite, '../a', 'text')).rejects.toThrow()
    await expect(call(CHANNELS.storeWrite, 'a', { evil: 1 })).rejects.toThrow(/refused/)
    const foreign = { senderFrame: { parent: null, url: 'https://example.org/' } }
    await expect(handlers.get(CHANNELS.storeList)!(foreign)).rejects.toThrow(/refused/)
  })

  test('asks before it closes on changes in no file', async () => {
    const seen = await start()
    const leave = seen.windows[0].events.get('will-prevent-unload')!
    const stay = { url: '', preventDefault: vi.fn() }
    leave(stay)
    expect(stay.preventDefault).not.toHaveBeenCalled()
    seen.messageAnswer = 0
    leave(stay)
    expect(stay.preventDefault).toHaveBeenCalled()
  })

  test('reads a text file and saves a result where the pilot says, for its own page alone', async () => {
    const own = OWN
    const foreign = { senderFrame: { parent: null, url: 'https://example.org/' } }
    const reading = (await start([terrainPath])).handlers.get(CHANNELS.openText)!
    expect(await reading(own, 'GeoJSON', ['json'])).toEqual({ name: 'dem.tif', text: '0123456789' })
    expect(await reading(foreign, 'GeoJSON', ['json'])).toBeNull()
    expect(await reading(own, 'GeoJSON', 'json')).toBeNull()
    const target = join(outside, 'saved.tif')
    const seen = await start([target])
    const save = seen.handlers.get(CHANNELS.saveFile)!
    expect(await save(own, '../../etc/sight.tif', new Uint8Array([7, 8]))).toBe('saved.tif')
    expect(seen.suggested).toBe('sight.tif')
    expect([...readFileSync(target)]).toEqual([7, 8])
    expect(await save(own, 'sight.tif', 'text')).toBeNull()
    expect(await save(foreign, 'sight.tif', new Uint8Array([9]))).toBeNull()
    expect([...readFileSync(target)]).toEqual([7, 8])
    const none = (await start()).handlers.get(CHANNELS.saveFile)!
    expect(await none(own, 'a', new Uint8Array())).toBeNull()
  })

  test('makes a PDF in a window that nobody sees and that runs nothing', async () => {
    const target = join(outside, 'brief.pdf')
    const seen = await start([target])
    const save = seen.handlers.get(CHANNELS.savePdf)!
    const own = OWN
    expect(await save(own, '../ridge-brief.pdf', '<p>brief</p>')).toBe('brief.pdf')
    expect(seen.suggested).toBe('ridge-brief.pdf')
    expect(JSON.parse(readFileSync(target, 'utf8'))).toEqual({
      preferCSSPageSize: true,
      printBackground: true,
      of: '<p>brief</p>',
    })
    const [, hidden] = seen.windows
    expect(hidden.options).toMatchObject({
      show: false,
      webPreferences: { sandbox: true, contextIsolation: true, javascript: false },
    })
    expect(hidden.isDestroyed).toBe(true)
    // The document is gone once it is laid out.
    expect((await seen.protocol!(new Request(seen.documentUrl))).status).toBe(404)
    expect(
      await save({ senderFrame: { parent: null, url: 'https://example.org/' } }, 'a', 'b'),
    ).toBeNull()
    // A frame inside the window is not the window, wherever it comes from.
    expect(
      await save({ senderFrame: { ...OWN.senderFrame, parent: OWN.senderFrame } }, 'a', 'b'),
    ).toBeNull()
    expect(await save(own, 'a', 7)).toBeNull()
    seen.isLoadFailing = true
    await expect(save(own, 'a.pdf', 'b')).rejects.toThrow('no window')
    expect(seen.windows[2].isDestroyed).toBe(true)
  })

  test('files that the system opens wait until the window listens', async () => {
    const plan = join(outside, 'ridge.geojson')
    writeFileSync(plan, '{"colsight": 1}')
    const args = ['.', '--flag', plan, join(outside, 'secret.txt')]
    const seen = await start([], { args })
    expect(seen.sent).toEqual([])
    const listen = seen.handlers.get(CHANNELS.listening)!
    listen({ senderFrame: { parent: null, url: 'https://example.org/' } })
    expect(seen.sent).toEqual([])
    listen(OWN)
    const opened = { kind: 'open', file: { name: 'ridge.geojson', text: '{"colsight": 1}' } }
    expect(seen.sent).toEqual([[CHANNELS.request, opened]])
    expect(seen.recent).toEqual([plan])
    // From the system's file manager while it runs, and from a second start.
    const event = { preventDefault: vi.fn() }
    seen.appEvents.get('open-file')!(event as never, plan as never)
    await vi.waitFor(() => expect(seen.sent).toHaveLength(2))
    expect(event.preventDefault).toHaveBeenCalled()
    seen.isMinimized = true
    const second = seen.appEvents.get('second-instance') as (...given: unknown[]) => void
    // Relative to the folder of that start, or as file managers of Linux write it.
    second({}, ['colsight', 'ridge.geojson'], outside)
    await vi.waitFor(() => expect(seen.sent).toHaveLength(3))
    expect([seen.focused, seen.isMinimized]).toEqual([1, false])
    second({}, ['colsight', pathToFileURL(plan).href, 'file://%'], '/')
    await vi.waitFor(() => expect(seen.sent).toHaveLength(4))
    expect(seen.sent.map(([, request]) => request)).toEqual([opened, opened, opened, opened])
  })

  test('a second start leaves everything to the first', async () => {
    const seen = await start([], { prepare: (its) => (its.isFirst = false) })
    expect([seen.quits, seen.windows.length, seen.handlers.size]).toEqual([1, 0, 0])
  })

  test('its menu asks the window, which does it', async () => {
    const seen = await start()
    seen.handlers.get(CHANNELS.listening)!(OWN)
    const items = seen.menu.flatMap(({ submenu }) => submenu as MenuItemConstructorOptions[])
    const asked = items.flatMap(({ click }) => {
      if (!click) return []
      ;(click as () => void)()
      return [(seen.sent.at(-1)![1] as { command: string }).command]
    })
    expect(asked).toEqual([...COMMANDS])
    // The system fills a list of recent files on macOS alone.
    const roleOf = async (platform: NodeJS.Platform) =>
      JSON.stringify((await start([], { platform })).menu).includes('recentDocuments')
    expect([await roleOf('linux'), await roleOf('darwin')]).toEqual([false, true])
    // No role gives a way to look into the page or to load it from elsewhere.
    const roles = items.map(({ role }) => role)
    for (const role of ['toggleDevTools', 'reload', 'forceReload']) {
      expect(roles).not.toContain(role)
    }
  })

  test('the menu speaks the language of the system, and the one chosen in the window', async () => {
    const seen = await start([], { prepare: (its) => (its.languages = ['fr-CH', 'de-CH']) })
    expect(seen.menu[0].label).toBe('&Datei')
    const write = (text: string) =>
      seen.handlers.get(CHANNELS.storeWrite)!(OWN, 'preferences', text)
    await write(JSON.stringify({ language: 'en' }))
    expect(seen.menu[0].label).toBe('&File')
    await write('no JSON')
    expect(seen.menu[0].label).toBe('&Datei')
    await write(JSON.stringify({ language: 'xx' }))
    expect(seen.menu[0].label).toBe('&Datei')
  })

  test('the window comes back where it was, if a screen is still there', async () => {
    const first = await start()
    expect(first.options).toMatchObject({ width: 1440, height: 900 })
    first.isMaximized = true
    first.zoom = 1.5
    first.windowEvents.get('close')!()
    const store = new FolderStore(join(outside, 'desktop-store'))
    await vi.waitFor(async () => expect(await store.read('window-state')).not.toBeNull())
    const again = await start()
    expect(again.options).toMatchObject({ x: 40, y: 50, width: 1000, height: 700 })
    again.windowEvents.get('ready-to-show')!()
    expect([again.isMaximized, again.zoom]).toEqual([true, 1.5])
    const away = { x: 5000, y: 50, width: 1000, height: 700, isMaximized: false, zoom: 1 }
    await store.write('window-state', JSON.stringify(away))
    const back = await start()
    expect(back.options).not.toHaveProperty('x')
    expect(back.options).toMatchObject({ width: 1000, height: 700 })
    await store.write('window-state', '{"width":3}')
    expect((await start()).options).toMatchObject({ width: 1440, height: 900 })
    const small = (its: Seen) => (its.workArea = { x: 0, y: 0, width: 1366, height: 728 })
    expect((await start([], { prepare: small })).options).toMatchObject({
      width: 1366,
      height: 728,
    })
    await store.remove('window-state')
  })

  test('ends with its last window', async () => {
    const seen = await start()
    seen.appEvents.get('window-all-closed')!()
    expect(seen.quits).toBe(1)
  })
})
