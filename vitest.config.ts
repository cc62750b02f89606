import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    include: ['test/**/*.test.ts'],
    testTimeout: 60_000,
    // Two cores, and some files start programs of their own.
    maxWorkers: 2,
  },
})
