import type { Store } from '../../core/host'
import { PREFERENCES_NAME, tileSourceOf } from '../../core/tileAddress'

/** Which sources a page may use. @param tiles where images may come from besides the host */
function policy(tiles: string | null): string {
  return [
    "default-src 'none'",
    // The ZSTD decoder is WebAssembly.
    "script-src 'self' 'wasm-unsafe-eval'",
    "worker-src 'self'",
    // Leaflet places its elements by inline styles.
    "style-src 'self' 'unsafe-inline'",
    "font-src 'self'",
    // A tile server that redirects elsewhere is not followed there.
    `img-src 'self' data: blob:${tiles === null ? '' : ` ${tiles}`}`,
    // The ZSTD decoder fetches itself from an address that holds its bytes.
    "connect-src 'self' blob: data:",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
  ].join('; ')
}

/**
 * Headers of every answer that either host gives its window. Scripts, styles and workers come
 * from the host alone. The page is cross-origin isolated, so that workers can share the terrain's
 * memory.
 */
export const PAGE_HEADERS: Readonly<Record<string, string>> = {
  'Content-Security-Policy': policy(null),
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'credentialless',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'X-Content-Type-Options': 'nosniff',
  // Tile servers want to know the page that asks, and learn no more than its origin.
  'Referrer-Policy': 'strict-origin-when-cross-origin',
  'Cache-Control': 'no-cache',
}

/** The headers with images from the tile server that the pilot has configured as well. */
export async function headersWithTiles(store: Store): Promise<Readonly<Record<string, string>>> {
  const preferences = await store.read(PREFERENCES_NAME).catch(() => null)
  return { ...PAGE_HEADERS, 'Content-Security-Policy': policy(tileSourceOf(preferences)) }
}
