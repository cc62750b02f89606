import type { TerrainSource } from './terrain/source'

/**
 * The window's one door to the outside. The desktop host and the browser host both implement
 * it; the window knows no other.
 */
export interface Host {
  readonly kind: 'desktop' | 'browser'
  /** Lets the pilot choose terrain files; none when they think better of it. */
  openTerrain(): Promise<readonly TerrainSource[]>
  /**
   * Lets the pilot choose a text file; null when they choose none.
   * @param kind what such files are called, for the dialog
   * @param extensions without the dot
   */
  openText(kind: string, extensions: readonly string[]): Promise<TextFile | null>
  /**
   * Saves a file where the pilot wants it; the name is a suggestion. False when they think better
   * of it.
   */
  saveFile(name: string, content: Uint8Array): Promise<boolean>
}

export interface TextFile {
  readonly name: string
  readonly text: string
}
