import { expose, transfer } from 'comlink'
import {
  computeClearHeights,
  type ClearHeights,
  type CoverageSettings,
} from '../../core/coverage/clearHeights'
import { ClearCounts } from '../../core/coverage/shares'
import type { TerrainGrid } from '../../core/terrain/grid'
import { errorsAsData, type Outcome } from './outcome'

export interface Coverage extends ClearHeights {
  readonly counts: ClearCounts
}

let terrain: TerrainGrid | undefined
let running = new AbortController()
const channel = new MessageChannel()

const api = {
  setTerrain(next: TerrainGrid): void {
    running.abort()
    terrain = next
  },
  async compute(
    settings: CoverageSettings,
    onProgress: (share: number) => void,
  ): Promise<Outcome<Coverage>> {
    running.abort()
    running = new AbortController()
    const { signal } = running
    const outcome = await errorsAsData(async () => {
      if (!terrain) throw new Error('coverage was asked for before there was a terrain')
      const fields = await computeClearHeights(terrain, settings, { signal, onProgress, pause })
      return { ...fields, counts: ClearCounts.of(fields.sightM, fields.fresnelM) }
    })
    if (outcome.kind !== 'done') return outcome
    const { sightM, fresnelM } = outcome.value
    return transfer(outcome, [sightM.buffer as ArrayBuffer, fresnelM.buffer as ArrayBuffer])
  },
  cancel(): void {
    running.abort()
  },
}

/** One turn of the event loop, without the delay that timers add. */
function pause(): Promise<void> {
  return new Promise((resolve) => {
    channel.port1.onmessage = () => resolve()
    channel.port2.postMessage(null)
  })
}

export type CoverageWorker = typeof api
expose(api)
