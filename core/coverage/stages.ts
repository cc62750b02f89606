import { RAYS_A_CALL, type Fan } from './fan'

/** A part of the way of all rays of a fan, in which one ray in so many goes for those beside it. */
export interface Stage {
  /** A power of two; one where every ray goes on its own. */
  readonly rays: number
  /** Its steps are from .. to - 1. */
  readonly from: number
  readonly to: number
}

/**
 * The stages of a fan, from the launch point outward: where rays lie closer than they need, only
 * every second, fourth and so on goes. RAYS_A_CALL is a whole number of any stage's rays, so that a
 * fan can be cut into calls of that many, each with the first ray of the next.
 * @param spacingCells widest gap between neighbouring rays that is wanted
 * @param nearCells the first stage goes as far at the least
 */
export function stagesOf(
  { steps, slopeStep }: Fan,
  spacingCells: number,
  nearCells: number,
): readonly Stage[] {
  /** How far so many rays are no wider apart than wanted, cells. */
  const reach = (rays: number) => spacingCells / (rays * slopeStep)
  let rays = 1
  while (2 * rays <= RAYS_A_CALL && reach(2 * rays) >= nearCells) rays *= 2
  const stages: Stage[] = []
  for (let from = 0; rays >= 1; rays /= 2) {
    const beyond = rays > 1 ? steps.findIndex((step) => step > reach(rays)) : -1
    const to = beyond < 0 ? steps.length : beyond
    if (to > from) stages.push({ rays, from, to })
    from = to
  }
  return stages
}

/** Rays that go through their stages together, the last of them with the next call as well. */
export interface Call {
  readonly fan: Fan
  readonly stages: readonly Stage[]
  /** Number of the first ray in the fan. */
  readonly first: number
  /** One more than a whole number of the first stage's rays. */
  readonly count: number
}

/** The calls that all rays of a fan are cast in, RAYS_A_CALL each. */
export function callsOf(fan: Fan, spacingCells: number, nearCells: number): Call[] {
  const stages = stagesOf(fan, spacingCells, nearCells)
  const [{ rays }] = stages
  const last = Math.ceil((fan.rayCount - 1) / rays) * rays
  return Array.from({ length: Math.ceil(last / RAYS_A_CALL) }, (_, call) => {
    const first = call * RAYS_A_CALL
    return { fan, stages, first, count: Math.min(RAYS_A_CALL, last - first) + 1 }
  })
}
