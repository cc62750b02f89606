import type { PathField, PathRequest } from './pathField'
import { PathSweep } from './pathSweep'
import { RadialSweep, type ClearFields } from './radialSweep'
import { RAYS_A_CALL, type SweepGround, type SweepSettings } from './fan'

/** Other work that a thread is asked for meanwhile waits no longer than this, milliseconds. */
const TURN_MS = 100

/** One thread's share of sweeping: it keeps the ground, and takes ranges of rays. */
export class SweepThread {
  protected ground: SweepGround | null = null
  private sweep: { readonly rayCount: number; run(from: number, to: number): void } | null = null
  private own: ClearFields | null = null
  private ownPaths: readonly PathField[] | null = null

  /** Keeps the ground for the sweeps to come. In shared memory it is not copied. */
  setGround(ground: SweepGround): void {
    this.ground = ground
    this.sweep = null
    this.own = null
  }

  /**
   * Makes ready for one sweep.
   * @param shared fields in shared memory to write into; null to keep fields of its own
   * @returns how many rays there are
   */
  begin(settings: SweepSettings, shared: ClearFields | null): number {
    if (!this.ground) throw new Error('a sweep was begun before there was a ground')
    this.own = shared ? null : emptyFields(this.ground.heights.length)
    const fields = shared ?? this.own
    if (!fields) throw new Error('a sweep has no fields')
    this.sweep = new RadialSweep(this.ground, settings, fields)
    return this.sweep.rayCount
  }

  /**
   * Makes ready for one sweep of path losses.
   * @param shared fields in shared memory to write into, one a link; null to keep own ones
   * @param from first of the cells to mark as without an answer in them
   * @param to one more than the last of these
   * @returns how many rays there are
   */
  beginPaths(
    links: readonly PathRequest[],
    shared: readonly PathField[] | null,
    from: number,
    to: number,
  ): number {
    if (!this.ground) throw new Error('a sweep was begun before there was a ground')
    const cells = this.ground.heights.length
    const paths = shared ?? links.map(() => newPaths(cells))
    for (const { lossDb } of paths) lossDb.fill(NaN, from, to)
    this.ownPaths = shared ? null : paths
    this.sweep = new PathSweep(this.ground, links, paths)
    return this.sweep.rayCount
  }

  /** Ends a sweep of paths: what it keeps of its own, or null where memory was shared. */
  endPaths(): readonly PathField[] | null {
    const { ownPaths } = this
    this.sweep = null
    this.ownPaths = null
    return ownPaths
  }

  /** Marks a range of cells as without an answer. */
  clear(fields: ClearFields, from: number, to: number): void {
    fields.sightM.fill(NaN, from, to)
    fields.fresnelM.fill(NaN, from, to)
    fields.edge.fill(0, from, to)
  }

  /** Casts the rays from .. to - 1 of the sweep begun. */
  run(from: number, to: number): void {
    this.sweep?.run(from, to)
  }

  /**
   * Casts rays of the sweep begun by ranges that the threads take from one counter, with no message
   * to and fro between, for a turn.
   * @param next number of the next ray that nobody has taken, in shared memory
   * @returns false once there are none left
   */
  runTogether(next: Int32Array): boolean {
    const end = performance.now() + TURN_MS
    while (this.sweep && performance.now() < end) {
      const from = Atomics.add(next, 0, RAYS_A_CALL)
      if (from >= this.sweep.rayCount) return false
      this.sweep.run(from, from + RAYS_A_CALL)
    }
    return this.sweep !== null
  }

  /** Ends the sweep: fields of its own with what it wrote, or null where they were shared. */
  end(): ClearFields | null {
    const { own } = this
    this.sweep = null
    this.own = null
    return own
  }
}

/** Fields without an answer anywhere. */
export function emptyFields(cells: number): ClearFields {
  return {
    sightM: new Float32Array(cells).fill(NaN),
    fresnelM: new Float32Array(cells).fill(NaN),
    edge: new Uint8Array(cells),
  }
}

function newPaths(cells: number): PathField {
  return { lossDb: new Float32Array(cells), directions: new Uint16Array(cells) }
}
