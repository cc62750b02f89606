import { throwIfCancelled } from '../errors'
import type { ClearFields } from './radialSweep'
import type { SweepGround, SweepSettings } from './fan'
import type { PathField, PathRequest } from './pathField'
import { SweepThread } from './sweepThread'

/** A thread as the pool sees it: the calls of SweepThread, near or through a worker. */
export type RemoteThread = {
  [Method in keyof SweepThread]: (
    ...args: Parameters<SweepThread[Method]>
  ) => ReturnType<SweepThread[Method]> | Promise<ReturnType<SweepThread[Method]>>
}

export interface SweepOptions {
  readonly signal?: AbortSignal
  /** Called with the share done, 0 to 1. */
  readonly onProgress?: (share: number) => void
}

/** Links that are swept together at the most. */
const MOST_LINKS = 2
/** Memory for path losses of more cells than this is not kept for the next sweep: own choice, 24 MB a link. */
const MOST_KEPT_CELLS = 4_000_000
/** Threads that take their ranges themselves are asked so often how far they are, milliseconds. */
const PROGRESS_MS = 50
/** Ranges of rays that go by message: small enough to cancel soon and to end together. */
const PARTS = 64
/** Fewer rays a range than this would cost more in messages than they gain. */
const FEWEST_RAYS = 64

/**
 * Sweeps shared out over threads. Which thread casts which ray makes no difference to the
 * result: every cell is written once, by one pair of neighbouring rays.
 */
export class SweepPool {
  private ground: SweepGround | null = null
  private spare: ClearFields | null = null
  private sparePaths: PathField[] = []
  private isSweeping = false

  /**
   * @param threads at least one
   * @param isShared true where memory can be shared with the threads; otherwise each sends
   *   back what it wrote
   */
  constructor(
    private readonly threads: readonly RemoteThread[],
    private readonly isShared: boolean,
  ) {}

  /** A pool of the calling thread alone. */
  static local(): SweepPool {
    return new SweepPool([new SweepThread()], false)
  }

  async setGround({ heights, bare, covered, cols, rows }: SweepGround): Promise<void> {
    this.ground = { heights, bare, covered, cols, rows }
    const ground = this.ground
    await Promise.all(this.threads.map((thread) => thread.setGround(ground)))
  }

  /**
   * Takes back fields that nobody looks at any more: the next sweep writes into them. Fresh memory
   * for every sweep costs a third of its time.
   */
  recycle(fields: ClearFields): void {
    if (this.isShared) this.spare = fields
  }

  /** The same for path losses. */
  recyclePaths(paths: readonly PathField[]): void {
    if (!this.isShared) return
    const kept = paths.filter(({ lossDb }) => lossDb.length <= MOST_KEPT_CELLS)
    this.sparePaths = [...kept, ...this.sparePaths].slice(0, MOST_LINKS)
  }

  /** Both fields for one launch point. Throws the abort reason when cancelled. */
  sweep(settings: SweepSettings, options: SweepOptions): Promise<ClearFields> {
    return this.alone((cells) => this.sweepFields(settings, options, cells))
  }

  /**
   * Path losses over the site at one flying height, of each of the links: of two at once, as they
   * share the way, for less than twice the time of one. Throws the abort reason when cancelled.
   * @param links at least one
   */
  paths(links: readonly PathRequest[], options: SweepOptions): Promise<readonly PathField[]> {
    return this.alone((cells) => this.sweepPaths(links, options, cells))
  }

  /** The threads know of one sweep: another that is begun meanwhile would spoil both. */
  private async alone<T>(work: (cells: number) => Promise<T>): Promise<T> {
    if (!this.ground) throw new Error('a sweep was asked for before there was a ground')
    if (this.isSweeping) throw new Error('a sweep was asked for before another had ended')
    this.isSweeping = true
    try {
      return await work(this.ground.heights.length)
    } finally {
      this.isSweeping = false
    }
  }

  private async sweepFields(
    settings: SweepSettings,
    { signal, onProgress }: SweepOptions,
    cells: number,
  ): Promise<ClearFields> {
    const shared = this.isShared ? await this.sharedFields(cells, writesAll(settings)) : null
    const [rayCount] = await Promise.all(
      this.threads.map((thread) => thread.begin(settings, shared)),
    )
    await this.castAll(rayCount, { signal, onProgress })
    const parts = await Promise.all(this.threads.map((thread) => thread.end()))
    if (shared && signal?.aborted) this.recycle(shared)
    throwIfCancelled(signal)
    return shared ?? merge(parts.filter((part) => part !== null))
  }

  private async sweepPaths(
    links: readonly PathRequest[],
    { signal, onProgress }: SweepOptions,
    cells: number,
  ): Promise<readonly PathField[]> {
    const shared = this.isShared ? links.map(() => this.sharedPaths(cells)) : null
    // Memory that is shared the threads clear together, of their own each the whole.
    const each = this.isShared ? Math.ceil(cells / this.threads.length) : cells
    const [rayCount] = await Promise.all(
      this.threads.map((thread, i) => {
        const from = this.isShared ? i * each : 0
        return thread.beginPaths(links, shared, from, from + each)
      }),
    )
    await this.castAll(rayCount, { signal, onProgress })
    const parts = await Promise.all(this.threads.map((thread) => thread.endPaths()))
    if (shared && signal?.aborted) this.recyclePaths(shared)
    throwIfCancelled(signal)
    return shared ?? links.map((_, k) => mergePaths(parts.flatMap((part) => part?.[k] ?? [])))
  }

  /** Casts all the rays of the sweep that the threads have begun, unless cancelled. */
  private castAll(rayCount: number, options: SweepOptions): Promise<void> {
    return this.isShared
      ? this.castTogether(rayCount, options)
      : this.castByMessages(rayCount, options)
  }

  /** By threads that share memory: they take their ranges themselves. */
  private async castTogether(
    rayCount: number,
    { signal, onProgress }: SweepOptions,
  ): Promise<void> {
    const next = new Int32Array(new SharedArrayBuffer(4))
    const stop = () => void Atomics.store(next, 0, rayCount)
    if (signal?.aborted) stop()
    signal?.addEventListener('abort', stop)
    const report = () => {
      if (!signal?.aborted) onProgress?.(Math.min(1, Atomics.load(next, 0) / rayCount))
    }
    const timer = setInterval(report, PROGRESS_MS)
    const work = async (thread: RemoteThread) => {
      while (await thread.runTogether(next));
    }
    try {
      await Promise.all(this.threads.map(work))
    } finally {
      clearInterval(timer)
      signal?.removeEventListener('abort', stop)
      // Where one has failed the others need not go on.
      stop()
    }
    report()
  }

  private async castByMessages(
    rayCount: number,
    { signal, onProgress }: SweepOptions,
  ): Promise<void> {
    const raysAPart = Math.max(FEWEST_RAYS, Math.ceil(rayCount / PARTS))
    let next = 0
    let done = 0
    const work = async (thread: RemoteThread) => {
      while (next < rayCount && !signal?.aborted) {
        const from = next
        next = Math.min(rayCount, from + raysAPart)
        await thread.run(from, next)
        done += Math.min(raysAPart, rayCount - from)
        onProgress?.(done / rayCount)
      }
    }
    await Promise.all(this.threads.map(work))
  }

  /**
   * Fields in shared memory for a sweep to write into, without an answer anywhere unless it writes
   * every cell itself. The threads clear them together.
   */
  private async sharedFields(cells: number, isWrittenWhole: boolean): Promise<ClearFields> {
    const spare = this.takeSpare(cells)
    if (spare && isWrittenWhole) return spare
    const fields = spare ?? {
      sightM: new Float32Array(new SharedArrayBuffer(cells * 4)),
      fresnelM: new Float32Array(new SharedArrayBuffer(cells * 4)),
      edge: new Uint8Array(new SharedArrayBuffer(cells)),
    }
    const each = Math.ceil(cells / this.threads.length)
    await Promise.all(
      this.threads.map((thread, i) => thread.clear(fields, i * each, (i + 1) * each)),
    )
    return fields
  }

  /** Path losses in shared memory, with whatever is in it. */
  private sharedPaths(cells: number): PathField {
    const spare = this.sparePaths.pop()
    if (spare?.lossDb.length === cells) return spare
    return {
      lossDb: new Float32Array(new SharedArrayBuffer(cells * 4)),
      directions: new Uint16Array(new SharedArrayBuffer(cells * 2)),
    }
  }

  private takeSpare(cells: number): ClearFields | null {
    const { spare } = this
    this.spare = null
    return spare?.sightM.length === cells ? spare : null
  }
}

/** True for a sweep that leaves no cell of the grid out. */
function writesAll({ radiusCells, sector }: SweepSettings): boolean {
  return radiusCells === Infinity && sector === null
}

/** Joins fields of which each cell was written in one at most. */
function merge([first, ...others]: ClearFields[]): ClearFields {
  for (const { sightM, fresnelM, edge } of others) {
    for (let i = 0; i < sightM.length; i++) {
      if (Number.isNaN(sightM[i])) continue
      first.sightM[i] = sightM[i]
      first.fresnelM[i] = fresnelM[i]
      first.edge[i] = edge[i]
    }
  }
  return first
}

function mergePaths([first, ...others]: PathField[]): PathField {
  for (const { lossDb, directions } of others) {
    for (let i = 0; i < lossDb.length; i++) {
      if (Number.isNaN(lossDb[i])) continue
      first.lossDb[i] = lossDb[i]
      first.directions[i] = directions[i]
    }
  }
  return first
}
