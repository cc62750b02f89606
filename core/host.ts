import type { FileIdentity } from './terrain/fingerprint'
import type { TerrainSource } from './terrain/source'

/**
 * The window's one door to the outside. The desktop host and the browser host both implement
 * it; the window knows no other.
 */
export interface Host {
  readonly kind: 'desktop' | 'browser'
  /** What the program remembers from one start to the next. */
  readonly store: Store
  /** Lets the pilot choose terrain files; none when they think better of it. */
  openTerrain(): Promise<readonly TerrainSource[]>
  /**
   * Remembers where dropped terrain files lie, so that a plan finds them again; null on hosts that
   * cannot know.
   */
  readonly rememberTerrain: ((files: readonly File[]) => Promise<void>) | null
  /** Finds terrain files that were opened before; null where one of them is not there any more. */
  findTerrain(files: readonly FileIdentity[]): Promise<readonly TerrainSource[] | null>
  /**
   * Lets the pilot choose a text file; null when they choose none.
   * @param kind what such files are called, for the dialog
   * @param extensions without the dot
   */
  openText(kind: string, extensions: readonly string[]): Promise<TextFile | null>
  /**
   * Saves a file where the pilot wants it; the name is a suggestion. The name it got, or null when
   * they think better of it.
   */
  saveFile(name: string, content: Uint8Array): Promise<string | null>
  /** Says what to do with requests of the host: those that wait, and all that come. */
  onRequest(handle: (request: HostRequest) => void): void
  /**
   * Saves a whole HTML document as PDF where the pilot wants it; null on hosts whose print dialog
   * does that.
   */
  readonly savePdf: ((name: string, html: string) => Promise<string | null>) | null
}

/** What a host's menu asks of the window. */
export const COMMANDS = [
  'open-terrain',
  'open-plan',
  'save-plan',
  'make-brief',
  'bring-in-log',
  'undo',
  'redo',
  'help',
  'about',
] as const
export type Command = (typeof COMMANDS)[number]

/**
 * What a host asks of the window: a command of its menu, a file that the system opened with it, or
 * a sentence to be shown.
 */
export type HostRequest =
  | { readonly kind: 'command'; readonly command: Command }
  | { readonly kind: 'notice'; readonly sentence: string }
  | { readonly kind: 'open'; readonly file: TextFile }

/** Texts by name: drafts, recent plans, preferences. Each is written whole or not at all. */
export interface Store {
  list(): Promise<readonly string[]>
  /** Null where there is none of that name. */
  read(name: string): Promise<string | null>
  write(name: string, text: string): Promise<void>
  remove(name: string): Promise<void>
}

export function isStoreName(name: string): boolean {
  return /^[a-z0-9][a-z0-9-]{0,63}$/.test(name)
}

export interface TextFile {
  readonly name: string
  readonly text: string
}
