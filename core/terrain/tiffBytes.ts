import type { ByteSource } from './source'

/** Bytes read at a time where little is asked for. */
const PAGE_BYTES = 256 * 1024
/** Pages kept of one file. */
const PAGES_KEPT = 8
/** No directory and no list of a TIFF is longer than this; what claims to be is damaged. */
const MAX_SLICE_BYTES = 128 * 1024 * 1024

interface Slice {
  readonly offset: number
  readonly length: number
}

/**
 * What geotiff.js reads a file's directories from, and we its blocks: whole pages, a few of them
 * kept, and nothing beyond the end of the file, whatever a directory claims.
 */
export class TiffBytes {
  private readonly pages = new Map<number, Promise<Uint8Array<ArrayBuffer>>>()

  constructor(private readonly bytes: ByteSource) {}

  get fileSize(): number {
    return this.bytes.sizeBytes
  }

  /** The contract of geotiff.js: an ArrayBuffer a slice, short where the file ends. */
  async fetch(slices: readonly Slice[], signal?: AbortSignal): Promise<ArrayBuffer[]> {
    return Promise.all(
      slices.map(async ({ offset, length }) => {
        const part = await this.read(Number(offset), Number(length), signal)
        return part.byteLength === part.buffer.byteLength ? part.buffer : part.slice().buffer
      }),
    )
  }

  /** Bytes from `offset`; the result may be a view into a page and must not be written to. */
  async read(offset: number, length: number, signal?: AbortSignal) {
    const end = Math.min(offset + length, this.fileSize)
    if (!(offset >= 0) || !Number.isSafeInteger(offset) || !(end > offset)) {
      return new Uint8Array(0)
    }
    if (end - offset > MAX_SLICE_BYTES) throw new RangeError('a slice of absurd length')
    const [first, last] = [Math.floor(offset / PAGE_BYTES), Math.floor((end - 1) / PAGE_BYTES)]
    if (last - first > 1) return this.bytes.read(offset, end - offset, signal)
    const pages: Uint8Array<ArrayBuffer>[] = []
    // Who reads on from page to page finds the next one there.
    const readsOn = this.pages.has(first - 1) && last === first
    const asked = this.page(first, signal)
    if (readsOn && (last + 1) * PAGE_BYTES < this.fileSize) this.page(last + 1, signal)
    pages.push(await asked)
    if (last > first) pages.push(await this.page(last, signal))
    const start = offset - first * PAGE_BYTES
    if (pages.length === 1) return pages[0].subarray(start, start + end - offset)
    const joined = new Uint8Array(end - offset)
    const head = pages[0].subarray(start)
    joined.set(head)
    joined.set(pages[1].subarray(0, joined.length - head.length), head.length)
    return joined
  }

  /** Lets go of what was kept: of thousands of files only those being read keep anything. */
  forget(): void {
    this.pages.clear()
  }

  close(): Promise<void> {
    return Promise.resolve()
  }

  private page(index: number, signal?: AbortSignal): Promise<Uint8Array<ArrayBuffer>> {
    const kept = this.pages.get(index)
    // The one asked for last is the last to go.
    this.pages.delete(index)
    const page = kept ?? this.bytes.read(index * PAGE_BYTES, PAGE_BYTES, signal)
    this.pages.set(index, page)
    page.catch(() => {
      if (this.pages.get(index) === page) this.pages.delete(index)
    })
    if (this.pages.size > PAGES_KEPT) this.pages.delete(this.pages.keys().next().value!)
    return page
  }
}
