import { readFileSync, writeFileSync } from 'node:fs'
import { bareGround } from '../../core/surface/surface'
import { inSharedMemory, openNodePool } from '../../electron/node/sweepThreads'
import { largeTerrain, settingsOn } from './largeTerrain'

/** Run on its own: the memory a sweep takes at its peak beyond grid and fields, bytes a cell. */
const terrain = await largeTerrain()
const { pool, close } = openNodePool()
const shared = { ...terrain, heights: inSharedMemory(terrain.heights) }
await pool.setGround({ ...shared, ...bareGround(shared) })
const cells = terrain.heights.length
const kilobytes = (name: string) =>
  Number(new RegExp(`${name}:\\s+(\\d+)`).exec(readFileSync('/proc/self/status', 'utf8'))?.[1])
// Linux: forget the high-water mark so far.
writeFileSync('/proc/self/clear_refs', '5')
const before = kilobytes('VmRSS')
const fields = await pool.sweep(settingsOn(terrain), {})
const bytes = Object.values(fields).reduce((sum, field) => sum + field.byteLength, 0)
console.log(((kilobytes('VmHWM') - before) * 1024 - bytes) / cells)
await close()
