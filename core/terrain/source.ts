import { say } from '../words/say'
import { PilotError, throwIfCancelled } from '../errors'

/** Where a terrain file comes from. Both kinds are read by range, never whole. */
export type TerrainSource = (
  { readonly name: string; readonly blob: Blob } | { readonly name: string; readonly url: string }
) & { readonly beside?: Sidecars }

/** Text files that lie beside a TIFF and say what it does not say itself. */
export interface Sidecars {
  /** Six numbers that place the raster (a world file: .tfw, .tifw or .wld). */
  readonly worldFile?: string
  /** Its coordinate system as WKT (.prj). */
  readonly projection?: string
}

/** Bytes of a file by range. */
export interface ByteSource {
  readonly sizeBytes: number
  /** Bytes from `offset`; fewer than `length` where the file ends before. */
  read(offset: number, length: number, signal?: AbortSignal): Promise<Uint8Array<ArrayBuffer>>
}

/** A drive or server that has not answered after this long will not, milliseconds. */
const PATIENCE_MS = 20_000

/** The bytes of a chosen file. Throws a PilotError where it cannot be reached. */
export async function openBytes(source: TerrainSource): Promise<ByteSource> {
  return patiently(source.name, 'blob' in source ? blobBytes(source.blob) : await urlBytes(source))
}

function blobBytes(blob: Blob): ByteSource {
  return {
    sizeBytes: blob.size,
    read: async (offset, length) =>
      new Uint8Array(await blob.slice(offset, offset + length).arrayBuffer()),
  }
}

async function urlBytes({ name, url }: { name: string; url: string }): Promise<ByteSource> {
  const ask = async (offset: number, length: number, signal?: AbortSignal) => {
    const headers = { Range: `bytes=${offset}-${offset + length - 1}` }
    return fetch(url, { headers, signal })
  }
  const first = await ask(0, 1).catch(() => null)
  const size = Number(/\/(\d+)$/.exec(first?.headers.get('Content-Range') ?? '')?.[1])
  // Nothing can be asked of a file without a byte (416), and its size is said all the same.
  if (!first || (first.status !== 206 && first.status !== 416) || !Number.isFinite(size)) {
    throw new PilotError(say('source.cannotReachedCheckColsight', { name }))
  }
  return {
    sizeBytes: size,
    read: async (offset, length, signal) => {
      const answer = await ask(offset, Math.min(length, size - offset), signal)
      if (answer.status !== 206) throw new Error(`answered ${answer.status}`)
      return new Uint8Array(await answer.arrayBuffer())
    },
  }
}

/** The same bytes, with an end to waiting and a sentence for every failure. */
export function patiently(name: string, bytes: ByteSource): ByteSource {
  return {
    sizeBytes: bytes.sizeBytes,
    read: async (offset, length, signal) => {
      throwIfCancelled(signal)
      if (length <= 0 || offset >= bytes.sizeBytes) return new Uint8Array(0)
      let timer: ReturnType<typeof setTimeout> | undefined
      const late = new Promise<never>((_resolve, reject) => {
        timer = setTimeout(() => reject(new Error('no answer')), PATIENCE_MS)
      })
      try {
        return await Promise.race([bytes.read(offset, length, signal), late])
      } catch (cause) {
        throwIfCancelled(signal)
        throw new PilotError(say('source.cannotReadAnyMore', { name }), { cause })
      } finally {
        clearTimeout(timer)
      }
    },
  }
}
