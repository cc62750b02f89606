import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { loadImage } from '@napi-rs/canvas'
// The packager checks its configuration with this before it does anything.
import { validateConfiguration } from 'app-builder-lib/out/util/config/config.js'
import { DebugLogger } from 'builder-util'
import { beforeAll, describe, expect, test } from 'vitest'
import { buildIfStale } from '../../electron/build'
import { projectFolder } from '../../electron/node/paths'

const read = (path: string) => readFileSync(join(projectFolder, path), 'utf8')
const config = JSON.parse(read('electron-builder.json'))

describe('packages', () => {
  beforeAll(() => buildIfStale(), 60_000)

  test('the configuration is one the packager takes', async () => {
    await expect(validateConfiguration(config, new DebugLogger(false))).resolves.not.toThrow()
    const wrong = { ...config, electronFuses: { runAsNode: 'perhaps' } }
    await expect(validateConfiguration(wrong, new DebugLogger(false))).rejects.toThrow(/runAsNode/)
  })

  test('fuses leave no way to run other code by the program', () => {
    expect(config.electronFuses).toEqual({
      runAsNode: false,
      enableCookieEncryption: true,
      enableNodeOptionsEnvironmentVariable: false,
      enableNodeCliInspectArguments: false,
      enableEmbeddedAsarIntegrityValidation: true,
      onlyLoadAppFromAsar: true,
      grantFileProtocolExtraPrivileges: false,
      // Flipping fuses breaks the signature that such machines want.
      resetAdHocDarwinSignature: true,
    })
  })

  test('packages of Linux have what their makers ask for, and keep the sandbox', () => {
    const { homepage, desktopName } = JSON.parse(read('package.json'))
    expect(config.linux.maintainer).toBeTruthy()
    expect(new URL(homepage).protocol).toBe('https:')
    expect([config.linux.syncDesktopName, desktopName]).toEqual([true, 'colsight.desktop'])
    // Left out, the packager would start the program with --no-sandbox.
    expect(config.appImage.executableArgs).toEqual([])
  })

  test('what is packed needs no module beside it', () => {
    const imports = ['main.js', 'preload.cjs'].flatMap((name) =>
      [
        ...read(`dist/desktop/${name}`).matchAll(
          /(?:\bfrom|\brequire\(|\bimport\()\s*["']([\w@./:-]+)["']/g,
        ),
      ].map(([, source]) => source),
    )
    expect(imports.length).toBeGreaterThan(3)
    for (const source of imports) expect(source).toMatch(/^(electron$|node:|\.)/)
    expect(config.files).toContain('!node_modules/**')
  })

  test('icons are there, in the sizes that systems ask for', async () => {
    const icon = await loadImage(readFileSync(join(projectFolder, config.linux.icon)))
    expect([icon.width, icon.height]).toEqual([512, 512])
    for (const path of [config.mac.icon, config.win.icon]) {
      expect(existsSync(join(projectFolder, path))).toBe(true)
    }
  })
})
