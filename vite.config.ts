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
  },
  clearScreen: false,
})
