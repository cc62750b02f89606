/**
 * Headers of every answer that either host gives its window. Scripts, styles and workers come
 * from the host alone; images also from tile servers, which the pilot must turn on. The page is
 * cross-origin isolated, so that workers can share the terrain's memory.
 */
export const PAGE_HEADERS: Readonly<Record<string, string>> = {
  'Content-Security-Policy': [
    "default-src 'none'",
    // The ZSTD decoder is WebAssembly.
    "script-src 'self' 'wasm-unsafe-eval'",
    "worker-src 'self'",
    // Leaflet places its elements by inline styles.
    "style-src 'self' 'unsafe-inline'",
    "font-src 'self'",
    "img-src 'self' data: blob: https: http://127.0.0.1:* http://localhost:*",
    // The ZSTD decoder fetches itself from an address that holds its bytes.
    "connect-src 'self' blob: data:",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; '),
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'credentialless',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'X-Content-Type-Options': 'nosniff',
  // Tile servers want to know the page that asks, and learn no more than its origin.
  'Referrer-Policy': 'strict-origin-when-cross-origin',
  'Cache-Control': 'no-cache',
}
