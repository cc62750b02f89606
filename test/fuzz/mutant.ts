import { seededRandom } from '../support/exactReference'

/** A file of heights with something wrong in it, made from sound ones; the same for a seed. */
export interface Mutant {
  readonly name: string
  readonly bytes: Uint8Array<ArrayBuffer>
  readonly recipe: string
}

type Random = () => number
type Mutation = (bytes: Uint8Array<ArrayBuffer>, random: Random) => Uint8Array<ArrayBuffer>

const below = (random: Random, end: number) => Math.floor(random() * end)
const pick = <T>(random: Random, values: readonly T[]) => values[below(random, values.length)]

/** Whole numbers that programs stumble over. */
const NASTY = [0, 1, 2, 7, 255, 256, 32767, 32768, 65535, 65536, 2 ** 31 - 1, 2 ** 31, 2 ** 32 - 1]

const MUTATIONS: Readonly<Record<string, Mutation>> = {
  'cut short': (bytes, random) => bytes.slice(0, below(random, bytes.length)),
  'bits flipped': (bytes, random) => {
    for (let flips = 1 + below(random, 40); flips > 0; flips--) {
      bytes[below(random, bytes.length)] ^= 1 << below(random, 8)
    }
    return bytes
  },
  'bits of the head flipped': (bytes, random) => {
    for (let flips = 1 + below(random, 6); flips > 0; flips--) {
      bytes[below(random, Math.min(400, bytes.length))] ^= 1 << below(random, 8)
    }
    return bytes
  },
  'a stretch overwritten': (bytes, random) => {
    const from = below(random, bytes.length)
    const value = pick(random, [0, 255, -1])
    for (let i = from; i < Math.min(bytes.length, from + 1 + below(random, 300)); i++) {
      bytes[i] = value < 0 ? below(random, 256) : value
    }
    return bytes
  },
  'a stretch left out': (bytes, random) => {
    const from = below(random, bytes.length)
    const to = Math.min(bytes.length, from + 1 + below(random, 64))
    const shorter = new Uint8Array(bytes.length - (to - from))
    shorter.set(bytes.subarray(0, from))
    shorter.set(bytes.subarray(to), from)
    return shorter
  },
  'an entry changed': (bytes, random) => {
    for (let changes = 1 + below(random, 3); changes > 0; changes--) changeEntry(bytes, random)
    return bytes
  },
  'directories in a ring': (bytes, random) => {
    const tiff = new Tiff(bytes)
    const starts = tiff.directories()
    tiff.setNext(pick(random, starts), pick(random, starts))
    return bytes
  },
}

/** Changes the kind, number, value or tag of one entry of one directory. */
function changeEntry(bytes: Uint8Array, random: Random): void {
  const tiff = new Tiff(bytes)
  const entries = tiff.directories().flatMap((start) => tiff.entries(start))
  if (entries.length === 0) return
  const entry = pick(random, entries)
  const value = random() < 0.7 ? pick(random, NASTY) : below(random, 2 ** 32)
  const what = pick(random, ['kind', 'count', 'value', 'value', 'value', 'tag'] as const)
  if (what === 'kind') tiff.put(entry + 2, 2, pick(random, [0, 1, 2, 3, 4, 5, 8, 11, 12, 13, 16]))
  else if (what === 'tag') tiff.put(entry, 2, value % 65536)
  else tiff.put(entry + (what === 'count' ? 4 : 4 + tiff.wide), 4, value)
}

/** Just enough of a TIFF's structure to damage it on purpose. */
class Tiff {
  /** Bytes of an offset. */
  readonly wide: 4 | 8
  private readonly view: DataView
  private readonly isLittle: boolean

  constructor(bytes: Uint8Array) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
    this.isLittle = bytes[0] === 0x49
    this.wide = this.view.getUint16(2, this.isLittle) === 43 ? 8 : 4
  }

  directories(): number[] {
    const starts: number[] = []
    for (let at = this.offset(this.wide === 8 ? 8 : 4); at > 0 && !starts.includes(at);) {
      starts.push(at)
      at = this.offset(this.endOf(at))
    }
    return starts
  }

  entries(start: number): number[] {
    const { count, first, size } = this.shapeOf(start)
    return Array.from({ length: count }, (_, i) => first + i * size)
  }

  setNext(start: number, next: number): void {
    this.put(this.endOf(start), 4, next)
  }

  put(at: number, size: 2 | 4, value: number): void {
    if (at + size > this.view.byteLength) return
    if (size === 2) this.view.setUint16(at, value, this.isLittle)
    else this.view.setUint32(at, value, this.isLittle)
  }

  private endOf(start: number): number {
    const { count, first, size } = this.shapeOf(start)
    return first + count * size
  }

  private shapeOf(start: number) {
    return this.wide === 8
      ? { count: this.offset(start), first: start + 8, size: 20 }
      : { count: this.view.getUint16(start, this.isLittle), first: start + 2, size: 12 }
  }

  private offset(at: number): number {
    return this.wide === 8
      ? Number(this.view.getBigUint64(at, this.isLittle))
      : this.view.getUint32(at, this.isLittle)
  }
}

/** The mutant of a seed, made from one of the sound files. */
export function mutantOf(
  seed: number,
  sound: readonly { readonly name: string; readonly bytes: Uint8Array }[],
): Mutant {
  const random = seededRandom(seed)
  const base = pick(random, sound)
  const names = Object.keys(MUTATIONS)
  const kinds = [pick(random, names), ...(random() < 0.2 ? [pick(random, names)] : [])]
  let bytes = base.bytes.slice() as Uint8Array<ArrayBuffer>
  for (const kind of kinds) {
    try {
      bytes = MUTATIONS[kind](bytes, random)
    } catch {
      // A file too damaged to be damaged further is mutant enough.
    }
  }
  return { name: `seed-${seed}.tif`, bytes, recipe: `${base.name}: ${kinds.join(', ')}` }
}
