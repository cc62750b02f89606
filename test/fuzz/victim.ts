import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { PilotError } from '../../core/errors'
import { inspectFile } from '../../core/terrain/inspect'
import { lookAt } from '../../core/terrain/look'
import { TerrainFile } from '../../core/terrain/terrainFile'
import { TerrainSet } from '../../core/terrain/terrainSet'
import { lookUpCrs } from '../../electron/node/epsg'
import { mutantOf, type Mutant } from './mutant'

/** What became of one mutant. */
export interface Fate {
  readonly seed: number
  readonly recipe: string
  /** `read`: heights came; `refused`: a sentence came; `crashed`: all else. */
  readonly end: 'read' | 'refused' | 'crashed'
  readonly words: string
  readonly ms: number
  /** Most memory that this process has had, megabytes. */
  readonly peakMb: number
}

/**
 * Reads the mutants of seeds in a process of its own, as the window would: open, inspect, look,
 * read the site that is suggested. Announces each seed before it begins.
 */
const [from, count] = process.argv.slice(2).map(Number)
const folder = fileURLToPath(new URL('../fixtures/', import.meta.url))
const sound = readdirSync(folder)
  .filter((name) => name.endsWith('.tif'))
  .sort()
  .map((name) => ({ name, bytes: new Uint8Array(readFileSync(folder + name)) }))

for (let seed = from; seed < from + count; seed++) {
  const mutant = mutantOf(seed, sound)
  process.send!({ seed, recipe: mutant.recipe })
  const began = performance.now()
  const [end, words] = await fateOf(mutant)
  const fate: Fate = {
    seed,
    recipe: mutant.recipe,
    end,
    words,
    ms: performance.now() - began,
    peakMb: process.resourceUsage().maxRSS / 1024,
  }
  process.send!(fate)
}
process.disconnect()

async function fateOf({ bytes, name }: Mutant): Promise<[Fate['end'], string]> {
  try {
    const source = { name, blob: new Blob([bytes]) }
    const file = await TerrainFile.open(source, { lookUpCrs, assume: { heightUnitM: 1 } })
    const set = new TerrainSet([file])
    const { suggestion } = await lookAt(set, [await inspectFile(file)], { lookUpCrs })
    const { cols, rows } = await set.read({ ...suggestion, lookUpCrs })
    return ['read', `${cols} x ${rows}`]
  } catch (error) {
    if (error instanceof PilotError) return ['refused', error.message]
    return ['crashed', error instanceof Error ? (error.stack ?? error.message) : String(error)]
  }
}
