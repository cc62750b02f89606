import type { TerrainSource } from './terrain/geotiff'

/**
 * The window's one door to the outside. The desktop host and the browser host both implement
 * it; the window knows no other.
 */
export interface Host {
  readonly kind: 'desktop' | 'browser'
  /** Lets the pilot choose a terrain file; null when they choose none. */
  openTerrain(): Promise<TerrainSource | null>
}
