import {
  computeClearHeights,
  prepareSweep,
  type CoverageSettings,
} from '../../core/coverage/clearHeights'
import { sweepForPaths, type PathField } from '../../core/coverage/pathField'
import type { ClearFields } from '../../core/coverage/radialSweep'
import { LANDED_HEIGHT_M } from '../../core/landing/landing'
import type { Link } from '../../core/radio/link'
import { linearCase } from '../../core/radio/pathBudget'
import type { Surface } from '../../core/surface/surface'
import type { TerrainGrid } from '../../core/terrain/grid'
import { inSharedMemory, openNodePool } from './sweepThreads'

/** Clear heights of a launch point, and path losses of a link down at LANDED_HEIGHT_M. */
export async function groundPictures<L extends Link | null>(
  terrain: TerrainGrid,
  { bare, covered }: Surface,
  settings: CoverageSettings,
  link: L,
): Promise<{ fields: ClearFields; paths: L extends Link ? PathField : null }> {
  const { sweep, northRad } = prepareSweep(terrain, settings)
  const heights = inSharedMemory(terrain.heights)
  // Where nothing stands on the ground the threads skip what they need not do.
  const shared = (values: Float32Array) =>
    values === terrain.heights ? heights : inSharedMemory(values)
  const sharedBare = shared(bare)
  const surface = { bare: sharedBare, covered: covered === bare ? sharedBare : shared(covered) }
  const { pool, close } = openNodePool()
  try {
    await pool.setGround({ ...terrain, heights, ...surface })
    const fields = await computeClearHeights(terrain, settings, { pool, surface })
    type Paths = L extends Link ? PathField : null
    if (!link) return { fields, paths: null as Paths }
    const { frequencyMhz, branches } = link
    const itsSweep = sweepForPaths(sweep, frequencyMhz)
    const itsFields = itsSweep === sweep ? fields : await pool.sweep(itsSweep, {})
    const polarisation = linearCase(branches[0].antenna.polarisation)
    const task = {
      settings: itsSweep,
      frequencyMhz,
      polarisation,
      heightM: LANDED_HEIGHT_M,
      northRad,
    }
    const [paths] = await pool.paths([{ task, fields: itsFields }], {})
    return { fields, paths: paths as Paths }
  } finally {
    await close()
  }
}
