import { computed, signal } from '@preact/signals'
import { wrap } from 'comlink'
import { likelyKind } from '../../core/coverage/uncertainty'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import type { TerrainWorker } from '../workers/terrain.worker'
import { setup } from './setup'

export const terrainWorker = wrap<TerrainWorker>(
  new Worker(new URL('../workers/terrain.worker.ts', import.meta.url), { type: 'module' }),
)
export const epsgTableUrl = new URL('epsg.json', document.baseURI).href

/** The terrain at hand. */
export const terrain = signal<TerrainGrid | null>(null)
export const locator = computed(() => terrain.value && new GridLocator(terrain.value))

/** Vertical error that the terrain is taken to have: the pilot's, or that of its likely kind. */
export const errorM = computed(
  () => setup.value.errorM ?? (terrain.value ? likelyKind(terrain.value.cellM).errorM : 0),
)
