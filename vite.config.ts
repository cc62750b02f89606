import { defineConfig } from 'vite'

export default defineConfig({
  root: 'renderer',
  base: './',
  publicDir: '../assets/public',
  worker: { format: 'es' },
  build: {
    outDir: '../dist/window',
    emptyOutDir: true,
    target: 'es2023',
    // Elevation models are files of their own, never text inside a script.
    assetsInlineLimit: 0,
    // Kilobytes: the window comes from this machine, so that one large script is no burden.
    chunkSizeWarningLimit: 2000,
    // Those who start the program need not know how long its building took.
    rolldownOptions: { checks: { bundlerTimings: false } },
  },
  clearScreen: false,
})
