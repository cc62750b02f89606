import type { Plan } from '../../core/plan/plan'
import { planFigures, type PlanFigures } from '../../core/plan/planFigures'
import { siteOf } from '../../core/surface/site'
import type { TerrainGrid } from '../../core/terrain/grid'
import { exposeSpeaking } from './threadLanguage'

let ground: { readonly terrain: TerrainGrid; readonly model: Float32Array | null } | null = null

const api = {
  /** @param model heights of the surface model laid over the terrain; null for none */
  setGround(terrain: TerrainGrid, model: Float32Array | null): void {
    ground = { terrain, model }
  },

  /** The figures of a plan on this ground, with what stands on it by that plan. */
  figures(plan: Plan): PlanFigures | string {
    if (!ground) throw new Error('a plan was compared before there was a terrain')
    return planFigures(siteOf(ground.terrain, plan, ground.model), plan)
  },
}

export type CompareWorker = typeof api
exposeSpeaking(api)
