import { computed, effect, signal } from '@preact/signals'
import type { Obstacle } from '../../core/surface/obstacle'
import type { SurfaceModel } from '../../core/surface/model'
import { bareGround, type Surface, type Vegetation } from '../../core/surface/surface'
import type { TerrainSource } from '../../core/terrain/source'
import type { TerrainGrid } from '../../core/terrain/grid'
import { setup } from './setup'
import { requestFor, terrain, terrainWorker } from './terrain'
import { notice, trackWork } from './work'
import { say } from '../../core/words/say'
import { proxy } from 'comlink'

/** The surface model laid over the terrain at hand, if any. */
const modelOnGrid = signal<{ readonly grid: TerrainGrid; readonly model: SurfaceModel } | null>(
  null,
)

export const surfaceModel = computed((): SurfaceModel | null =>
  modelOnGrid.value?.grid === terrain.value ? (modelOnGrid.value?.model ?? null) : null,
)

interface Standing {
  readonly grid: TerrainGrid
  readonly vegetation: Vegetation
  readonly obstacles: readonly Obstacle[]
  readonly model: SurfaceModel | null
}

const vegetation = computed(() => setup.value.vegetation)
const obstacles = computed(() => setup.value.obstacles)

const standing = computed((): Standing | null =>
  terrain.value
    ? {
        grid: terrain.value,
        vegetation: vegetation.value,
        obstacles: obstacles.value,
        model: surfaceModel.value,
      }
    : null,
)

const built = signal<{ readonly of: Standing; readonly surface: Surface } | null>(null)

/** What the radio path must clear; null until it is put together. */
export const surface = computed((): Surface | null => {
  if (!standing.value) return null
  if (isBare(standing.value)) return bareGround(standing.value.grid)
  return built.value?.of.grid === standing.value.grid ? built.value.surface : null
})

/** True where that is of everything that stands there now, and not of a moment ago. */
export const isSurfaceCurrent = computed(
  () => standing.value !== null && (isBare(standing.value) || built.value?.of === standing.value),
)

effect(() => {
  const what = standing.value
  if (what && !isBare(what)) void build(what)
})

function isBare({ vegetation, obstacles, model }: Standing): boolean {
  return vegetation.heightM === 0 && obstacles.length === 0 && !model
}

async function build(what: Standing): Promise<void> {
  const { grid, model } = what
  const result = await terrainWorker.buildSurface(
    grid,
    what.vegetation,
    model?.heights ?? null,
    what.obstacles,
  )
  // A newer one is on its way where anything has changed since.
  if (standing.peek() === what) built.value = { of: what, surface: result }
}

/** Lays a surface model over the terrain; what was there stays when it is refused. */
export async function openSurfaceModel(sources: readonly TerrainSource[]): Promise<void> {
  const grid = terrain.peek()
  if (!grid) return
  notice.value = null
  const tracked = trackWork(say('surface.readingSurfaceModel'), () => void terrainWorker.cancel())
  const request = requestFor(sources)
  const outcome = await terrainWorker.readModel(request, grid, proxy(tracked.report))
  tracked.end()
  if (outcome.kind === 'failed') notice.value = outcome.sentence
  if (outcome.kind === 'done' && terrain.peek() === grid) {
    modelOnGrid.value = { grid, model: outcome.value }
  }
}

export function removeSurfaceModel(): void {
  modelOnGrid.value = null
}
