import { computed, signal } from '@preact/signals'
import { likelyKind } from '../../core/coverage/uncertainty'
import type { FileIdentity } from '../../core/terrain/fingerprint'
import { GridLocator, type TerrainGrid } from '../../core/terrain/grid'
import type { SiteWish } from '../../core/terrain/siteFrame'
import type { TerrainSource } from '../../core/terrain/source'
import type { TerrainSummary } from '../../core/terrain/summary'
import type { Assumptions } from '../../core/terrain/terrainFile'
import type { TerrainRequest, TerrainWorker } from '../workers/terrain.worker'
import { setup } from './setup'
import { beginThread } from './threads'

export const terrainWorker = beginThread<TerrainWorker>(
  new Worker(new URL('../workers/terrain.worker.ts', import.meta.url), { type: 'module' }),
)
const epsgUrl = new URL('epsg.json', document.baseURI).href

/** What the worker is asked to open. */
export function requestFor(
  sources: readonly TerrainSource[],
  assume: Assumptions = {},
): TerrainRequest {
  return { sources, assume, epsgUrl }
}

/** Files, and the part of them that is worked on. */
export interface SiteOrigin {
  readonly request: TerrainRequest
  readonly wish: SiteWish
  readonly fillUpToCells: number
}

/** The terrain at hand. */
export const terrain = signal<TerrainGrid | null>(null)
export const summary = signal<TerrainSummary | null>(null)
/** Where the terrain at hand comes from. */
export const origin = signal<SiteOrigin | null>(null)
export const terrainFiles = signal<readonly FileIdentity[]>([])
export const locator = computed(() => terrain.value && new GridLocator(terrain.value))

/** Vertical error that the terrain is taken to have: the pilot's, or that of its likely kind. */
export const errorM = computed(
  () => setup.value.errorM ?? (terrain.value ? likelyKind(terrain.value.cellM).errorM : 0),
)
