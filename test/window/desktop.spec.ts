import { existsSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'
import { _electron, expect, test } from 'playwright/test'
import { buildIfStale } from '../../electron/build'

const folder = dirname(createRequire(import.meta.url).resolve('electron/package.json'))
const pathFile = join(folder, 'path.txt')
const binary = existsSync(pathFile) ? join(folder, 'dist', readFileSync(pathFile, 'utf8')) : ''

test('the desktop window opens on the demo site', async () => {
  test.skip(!existsSync(binary), 'skipped: no Electron binary')
  await buildIfStale()
  const app = await _electron.launch({ executablePath: binary, args: ['.'] })
  const page = await app.firstWindow()
  await expect(page.locator('.legend-share').first()).toHaveText(/%/, { timeout: 20_000 })
  expect(await page.evaluate(() => window.colsightDesktop?.kind)).toBe('desktop')
  expect(await page.evaluate(() => 'require' in window)).toBe(false)
  await app.close()
})
