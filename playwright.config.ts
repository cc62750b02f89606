import { existsSync } from 'node:fs'
import { defineConfig } from 'playwright/test'
import { CHROMIUM } from './test/support/chromium'

export default defineConfig({
  testDir: 'test/window',
  outputDir: 'test-results',
  timeout: 90_000,
  // A machine that shares its cores may be slow; nothing here measures time.
  expect: { timeout: 20_000 },
  workers: 1,
  // Where there is no chromium the tests say so themselves.
  use: {
    viewport: { width: 1440, height: 900 },
    launchOptions: existsSync(CHROMIUM)
      ? { executablePath: CHROMIUM, args: ['--no-sandbox', '--disable-background-networking'] }
      : {},
  },
})
