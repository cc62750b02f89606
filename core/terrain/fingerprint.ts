import type { ByteSource } from './source'

/** A file as a plan refers to it. */
export interface FileIdentity {
  readonly name: string
  readonly sizeBytes: number
  /** See fingerprintOf. */
  readonly fingerprint: string
}

/** Bytes at either end that are looked at: files of gigabytes are not read whole for this. */
const END_BYTES = 64 * 1024

/**
 * SHA-256 over a file's length and its first and last 64 KiB, as 32 hexadecimal digits (half of
 * them): a different export of the same ground has another one.
 */
export async function fingerprintOf(bytes: ByteSource, signal?: AbortSignal): Promise<string> {
  const { sizeBytes } = bytes
  const head = await bytes.read(0, Math.min(END_BYTES, sizeBytes), signal)
  const tailFrom = Math.max(head.length, sizeBytes - END_BYTES)
  const tail = await bytes.read(tailFrom, sizeBytes - tailFrom, signal)
  const all = new Uint8Array(8 + head.length + tail.length)
  new DataView(all.buffer).setFloat64(0, sizeBytes)
  all.set(head, 8)
  all.set(tail, 8 + head.length)
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', all))
  return Array.from(digest.subarray(0, 16), (byte) => byte.toString(16).padStart(2, '0')).join('')
}
