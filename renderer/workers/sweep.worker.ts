import { expose } from 'comlink'
import { ClearCounts } from '../../core/coverage/shares'
import { SweepThread, type FieldPair } from '../../core/coverage/sweepThread'

/** A thread of the window's pool; it also counts finished fields, off the window's thread. */
export class WindowThread extends SweepThread {
  count({ sightM, fresnelM }: FieldPair): ClearCounts {
    return ClearCounts.of(sightM, fresnelM)
  }
}

expose(new WindowThread())
